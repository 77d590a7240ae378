"""The weld map as strips: pieces and joints of a line in sequence, in columns, with every word in a lane of its own.

Words never meet because each has a column and a lane, and is shortened to that room; tests measure it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from reports.data import MapJoint, MapPiece, MapRun, Ring
from reports.drawing import Line, Point, Polygon, Shape, Words
from reports.flag import field_flag
from reports.letters import shorten, width
from reports.ring import BOX, outer_radius

INSET = 34.0  # at both ends of a strip: half a joint's label
PITCH = 70.0  # least width of a piece's column
RING = 17.0
HEADING, SPOOL, NUMBER, STAMPS, FLAG = 8.0, 19.0, 35.0, 43.5, 57.0  # base lines from the top of a strip
LINE = 66.0  # level of the pipe
MARK, KIND, SIZE, HEAT = 85.0, 94.0, 102.5, 111.0  # base lines
HIGH = 122.0
PIPE = 2.2


@dataclass(slots=True)
class Strip:
    """One row of the map, HIGH points high: shapes and, apart, the rings with their upper left corners."""

    shapes: list[Shape] = field(default_factory=list)
    rings: list[tuple[Ring, Point]] = field(default_factory=list)


def strips(runs: Sequence[MapRun], wide: float) -> list[Strip]:
    """Lay out runs in strips of a width in points; short runs share a strip, long ones go on in the next.

    Raises  ValueError for a width with no room for a single piece
    """
    columns, pitch = pitch_of(wide)
    made: list[Strip] = []
    column = columns  # full: the first run opens a strip
    for run in runs:
        if column and column + 1 + len(run.pieces) > columns:
            column = 0
            made.append(Strip())
        elif column:
            column += 1
        column = _run(made, run, column, columns, pitch)
    return made


def pitch_of(wide: float) -> tuple[int, float]:
    """How many pieces stand side by side in a strip, and the width of each column in points."""
    columns = int((wide - 2 * INSET) // PITCH)
    if columns < 1:
        raise ValueError(f"A weld map needs at least {2 * INSET + PITCH:.0f} points of width, not {wide:.0f}.")
    return columns, (wide - 2 * INSET) / columns


def _run(made: list[Strip], run: MapRun, column: int, columns: int, pitch: float) -> int:
    """Draw a run from a column of the last strip and return the column after it."""
    spools = _spools(run)
    if run.name:
        room = min(len(run.pieces), columns - column) * pitch - 4
        made[-1].shapes.append(
            Words((INSET + column * pitch, HEADING), shorten(run.name, room, 7, "bold"), 7, face="bold")
        )
    first = 0  # piece with which this strip begins
    while True:
        count = min(columns - column, len(run.pieces) - first)
        left = INSET + column * pitch
        _stretch(made[-1], run, range(first, first + count), left, pitch)
        _brackets(made[-1], spools, range(first, first + count), left, pitch)
        first, column = first + count, column + count
        if first == len(run.pieces):
            return column
        made.append(Strip())
        column = 0


def _stretch(strip: Strip, run: MapRun, places: range, left: float, pitch: float) -> None:
    """Pieces of one strip with the joint before each, and what tells that the run goes on."""
    for turn, place in enumerate(places):
        start, end = left + turn * pitch, left + (turn + 1) * pitch
        before = run.joints[place - 1] if place else None
        after = run.joints[place] if place < len(run.joints) else None
        goes_on = place == places[-1] and after is not None
        _piece(strip, run.pieces[place], (start, end), before, None if goes_on else after)
        if before is not None:
            _joint(strip, before, start, pitch)
            if turn == 0:
                edge = start - _clear(before)
                strip.shapes.append(Line((start - 24, LINE), (edge, LINE), "map-thin", 0.7, (3, 2)))
        if goes_on and after is not None:
            strip.shapes.append(Line((end + 2, LINE), (end + 24, LINE), "map-thin", 0.7, (3, 2)))
            words = shorten(f"to {after.number}", INSET - 4, 6.5)
            strip.shapes.append(Words((end + 3, LINE + 9), words, 6.5, ink="small"))


def _clear(joint: MapJoint | None) -> float:
    """How far a pipe stays off the middle of a joint: it ends at the ring."""
    return outer_radius(joint.ring) / BOX * RING if joint else 0.0


def _piece(
    strip: Strip, piece: MapPiece, ends: tuple[float, float], before: MapJoint | None, after: MapJoint | None
) -> None:
    dash = (5.0, 3.0) if piece.again else ()
    left, right = ends[0] + _clear(before), ends[1] - _clear(after)
    strip.shapes.append(Line((left, LINE), (right, LINE), "map-pipe", PIPE, dash))
    middle = (ends[0] + ends[1]) / 2
    if not piece.again:
        strip.shapes += _symbol(piece.kind, middle)
    for level, text, size, face in piece_words(piece):
        words = shorten(text, ends[1] - ends[0] - 5, size, face, keep_end=True)
        strip.shapes.append(Words((middle, level), words, size, "middle", face))


def piece_words(piece: MapPiece) -> list[tuple[float, str, float, str]]:
    """What stands under a piece, as (level, text, size, face)."""
    if piece.again:
        return [(MARK, piece.mark, 7.5, "bold"), (KIND, "drawn above", 6.5, "plain")]
    heat = f"heat {piece.heat}" if piece.heat else ""
    lines = [(MARK, piece.mark, 7.5, "bold"), (KIND, piece.kind, 6.5, "plain")]
    lines += [(SIZE, piece.size, 6.5, "plain"), (HEAT, heat, 6.5, "plain")]
    return [line for line in lines if line[1]]


def cramped(runs: Sequence[MapRun], wide: float) -> list[MapPiece]:
    """Pieces with words that the strips of this width shorten, for a list where they stand in full."""
    room = pitch_of(wide)[1] - 5
    return [
        piece
        for run in runs
        for piece in run.pieces
        if any(width(text, size, face) > room for _, text, size, face in piece_words(piece))
    ]


def _symbol(kind: str, middle: float) -> list[Shape]:
    """What a piece is: nothing for pipe, bars for a flange, a bow tie for a valve, a stub for a tee, else a box."""
    low = kind.lower()
    if not low or "pipe" in low or "nipple" in low:
        return []
    if "flange" in low:
        return [Line((middle + x, LINE - 6), (middle + x, LINE + 6), "map-pipe", 1.4) for x in (-1.8, 1.8)]
    if "valve" in low:
        corners = ((-7.0, -5.0), (7.0, 5.0), (7.0, -5.0), (-7.0, 5.0))
        outline = tuple((middle + x, LINE + y) for x, y in corners)
        return [Polygon(outline, "map-paper", filled=True), Polygon(outline, "map-pipe", 1.2)]
    if "tee" in low:
        return [Line((middle, LINE), (middle, LINE + 8), "map-pipe", PIPE)]
    box = tuple((middle + x, LINE + y) for x, y in ((-6.0, -4.0), (6.0, -4.0), (6.0, 4.0), (-6.0, 4.0)))
    return [Polygon(box, "map-paper", filled=True), Polygon(box, "map-pipe", 1.2)]


def _joint(strip: Strip, joint: MapJoint, x: float, pitch: float) -> None:
    strip.rings.append((joint.ring, (x - RING / 2, LINE - RING / 2)))
    room = min(pitch - 6, 2 * INSET)  # at the first joint of a strip the inset is all there is
    number = shorten(joint.number, room, 9, "bold", keep_end=True)
    strip.shapes.append(Words((x, NUMBER), number, 9, "middle", "bold"))
    attempt = "" if joint.attempt in {"", "0"} else joint.attempt
    second = shorten("  ".join(part for part in (attempt, joint.stamps) if part), room, 6.5)
    if second:
        strip.shapes.append(Words((x, STAMPS), second, 6.5, "middle", ink="small"))
    strip.shapes.append(Line((x, (STAMPS if second else NUMBER) + 2.2), (x, LINE - RING / 2), "map-thin", 0.5))
    strip.shapes += field_flag(joint.location, (x, FLAG))


def _spools(run: MapRun) -> list[str]:
    """The spool of each piece, from the joint before it, else from the one after it."""
    spools = []
    for place in range(len(run.pieces)):
        before = run.joints[place - 1] if place else None
        after = run.joints[place] if place < len(run.joints) else None
        spools.append((before.spool_b or before.spool if before else "") or (after.spool if after else ""))
    return spools


def _brackets(strip: Strip, spools: Sequence[str], places: range, left: float, pitch: float) -> None:
    """A bracket over neighbouring pieces of one spool; an end that goes on in another strip stays open."""
    place = places.start
    while place < places.stop:
        end = place
        while end + 1 < places.stop and spools[end + 1] == spools[place]:
            end += 1
        if spools[place]:
            x1 = left + (place - places.start) * pitch + 4
            x2 = left + (end + 1 - places.start) * pitch - 4
            opens = place > 0 and place == places.start and spools[place - 1] == spools[place]
            goes_on = end + 1 < len(spools) and end + 1 == places.stop and spools[end + 1] == spools[place]
            strip.shapes += _bracket(spools[place], x1, x2, opens=opens, goes_on=goes_on)
        place = end + 1


def _bracket(name: str, x1: float, x2: float, *, opens: bool, goes_on: bool) -> list[Shape]:
    text = shorten(name, x2 - x1 - 16, 7)
    level = SPOOL + 2.5
    shapes: list[Shape] = [Line((x1, level), (x2, level), "map-thin", 0.6)]
    if not opens:
        shapes.append(Line((x1, level), (x1, level + 4), "map-thin", 0.6))
    if not goes_on:
        shapes.append(Line((x2, level), (x2, level + 4), "map-thin", 0.6))
    return [*shapes, Words(((x1 + x2) / 2, level - 2.5), text, 7, "middle")]
