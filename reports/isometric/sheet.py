"""Sheets of an isometric: as large as the room allows, on more sheets where the labels of one would not fit."""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache

from reports.data import MapJoint, Ring, TitleBlock
from reports.drawing import Shape, Words, moved
from reports.isometric.arrange import Arranged, arrange
from reports.isometric.call_outs import stand_call_outs
from reports.isometric.drawn import Dimension, Isometric, Leg, Weld
from reports.isometric.layout import Layout
from reports.isometric.parts import Part, halves
from reports.isometric.placement.flat import Box, stroke_meets_box
from reports.isometric.scene import Placed, Scene, build
from reports.isometric.symbols import north_arrow
from reports.isometric.untangle import untangle
from reports.letters import width, wrap

SCALES = (2.4, 1.9, 1.5, 1.2, 0.95, 0.75, 0.58, 0.45, 0.35, 0.25, 0.16, 0.08)
BESIDE, ABOVE = 46.0, 28.0  # for labels around the pipes
TRIED = 3  # scales for one part before it is taken apart
MOST_JOINTS = 60  # on one sheet
REMEMBERED = 24  # drawings whose labels were placed lately
PLANNED = Ring("planned")
NO_TITLE = TitleBlock("", "", "", "", "", "", "", "")
CORNER = (96.0, 66.0)  # the north arrow and two lines of notes under it
LINE_HIGH, SMALL, GONE_WIDE = 9.0, 6.5, 160.0


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet: what it draws, and its labels at their places."""

    part: Part
    placed: Placed
    scene: Scene
    arranged: Arranged
    corner: list[Shape]
    scale: float


def sheets(drawing: Isometric, room: Box) -> list[Sheet]:
    """Draw an isometric in a room, on as many sheets as it takes.

    room     left, top, right, bottom in points
    Returns  the sheets in the order of flow, none for a drawing without legs; if labels of a sheet find no room and
             it can't be taken apart any further, it says so and has `arranged.homeless` above nought
    """
    if not drawing.legs:
        return []
    plain, made = _placed(
        replace(drawing, title=NO_TITLE, welds=_plain(drawing.welds), gone=_plain(drawing.gone), bill=(), cuts=()), room
    )
    dressed = {id(weld): known for weld, known in zip(plain, drawing.welds, strict=True)}
    return [_dressed(sheet, dressed) for sheet in made]


def _plain(welds: tuple[Weld, ...]) -> tuple[Weld, ...]:
    """Welds with nothing but what their labels need."""
    return tuple(
        Weld(
            weld.at,
            MapJoint(weld.joint.number, PLANNED, weld.joint.kind, "", weld.joint.location),
            finding=weld.finding,
        )
        for weld in welds
    )


@lru_cache(maxsize=REMEMBERED)
def _placed(drawing: Isometric, room: Box) -> tuple[tuple[Weld, ...], list[Sheet]]:
    """Everything at its place; remembered, because a joint's state changes far more often than its place."""
    return drawing.welds, _sheets(Part(drawing), room)


def _dressed(sheet: Sheet, known: dict[int, Weld]) -> Sheet:
    """A sheet whose joints are shown as they stand now."""
    welds = [(known[id(weld)], at, shapes) for weld, at, shapes in sheet.scene.welds]
    written = [
        replace(one, weld=known[id(one.weld)]) if one.weld is not None else one for one in sheet.arranged.written
    ]
    return replace(sheet, scene=replace(sheet.scene, welds=welds), arranged=replace(sheet.arranged, written=written))


def _sheets(part: Part, room: Box) -> list[Sheet]:
    found = None if len(part.drawing.welds) > MOST_JOINTS else _one(part, room)
    if found is not None and found.arranged.homeless == 0:
        return [found]

    def fits(legs: Sequence[Leg], dimensions: Sequence[Dimension]) -> bool:
        return _fits(Layout(legs, dimensions, SCALES[-1]), legs, room)

    two = halves(part, fits)
    if two is None:
        return [_made(part, SCALES[-1] if found is None else found.scale, room)]
    return [sheet for half in two for sheet in _sheets(half, room)]


def _one(part: Part, room: Box) -> Sheet | None:
    """The part on one sheet at the largest scale that leaves no label homeless, or the best that was tried."""
    best: Sheet | None = None
    # The smaller the scale, the less room it takes: the largest that fits is found by halving the choice.
    laid = cache(lambda scale: _laid(part, scale))
    largest = bisect_left(SCALES, True, key=lambda scale: _fits(laid(scale), part.drawing.legs, room))
    for scale in SCALES[largest : largest + TRIED]:
        layout = laid(scale)
        untangle(layout, _legs(part))
        if not _fits(layout, part.drawing.legs, room):
            continue
        made = _drawn(part, layout, scale, room)
        if best is None or made.arranged.homeless < best.arranged.homeless:
            best = made
        if best.arranged.homeless == 0:
            break
    return best


def _legs(part: Part) -> list[Leg]:
    return [*part.drawing.legs, *part.ghosts]


def _laid(part: Part, scale: float) -> Layout:
    return Layout(_legs(part), part.drawing.dimensions, scale)


def _fits(layout: Layout, legs: Sequence[Leg], room: Box) -> bool:
    left, top, right, bottom = Placed(layout, legs, room).extent
    return right - left + 2 * BESIDE <= room[2] - room[0] and bottom - top + 2 * ABOVE <= room[3] - room[1]


def _made(part: Part, scale: float, room: Box) -> Sheet:
    """The part on one sheet, whatever its labels meet, since it can't be taken apart any further."""
    layout = _laid(part, scale)
    untangle(layout, _legs(part))
    return _drawn(part, layout, scale, room, last=True)


def _drawn(part: Part, layout: Layout, scale: float, room: Box, *, last: bool = False) -> Sheet:
    placed = Placed(layout, _legs(part), room)
    scene = build(part.drawing, placed, part.ghosts)
    notes = _notes(part.drawing)
    corner = _free_corner(scene, room, notes)
    scene.fix(corner)
    left = stand_call_outs(part.drawing.marks, placed, scene, room)
    arranged = arrange(replace(part.drawing, marks=tuple(left)), placed, scene, room, last=last)
    return Sheet(part, placed, scene, arranged, _corner(corner, notes, arranged.homeless), scale)


def _notes(drawing: Isometric) -> list[str]:
    """What is written under the north arrow."""
    notes = ["Not to scale", f"Dimensions in {drawing.units}", *drawing.notes]
    if drawing.gone:
        notes += wrap(f"Withdrawn: {', '.join(weld.joint.number for weld in drawing.gone)}", GONE_WIDE, SMALL)
    return notes


def _free_corner(scene: Scene, room: Box, notes: Sequence[str]) -> Box:
    """The corner for the north arrow: the upper left one, or the next that no pipe runs through."""
    wide = max(CORNER[0], *(width(note, SMALL) + 4 for note in notes))
    high = CORNER[1] + LINE_HIGH * (len(notes) - 2)
    left, top, right, bottom = room
    corners = [(x, y, x + wide, y + high) for y in (top, bottom - high) for x in (left, right - wide)]
    return min(corners, key=lambda corner: sum(stroke_meets_box(stroke, corner) for stroke in scene.strokes))


def _corner(corner: Box, notes: Sequence[str], homeless: int) -> list[Shape]:
    left, top = corner[0], corner[1]
    words = [Words((left + 2, top + 45 + LINE_HIGH * row), note, SMALL, ink="small") for row, note in enumerate(notes)]
    if homeless:
        says = f"{homeless} labels found no free place; take larger paper."
        words.append(Words((left + 2, top + 45 + LINE_HIGH * len(notes)), says, SMALL, ink="stop"))
    return [
        *moved(north_arrow((0.0, 0.0)), left + 6, top + 32),
        Words((left + 40, top + 14), "N", 9, face="bold"),
        *words,
    ]
