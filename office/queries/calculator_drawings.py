"""The drawing of a calculator's answer, to scale, from the answer's own figures."""

from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any

from reports.cut_piece import CutPiece, cut_piece
from reports.data import Dimension, SectionData
from reports.fillet import fillet
from reports.fitting_outline import PieceEnd
from reports.pipe_end import pipe_end
from reports.round_pipe import gap_round, stops_round
from reports.section import section_sheet
from reports.section_marks import Sheet
from reports.svg import svg
from rules.calculators.amounts import places_of
from rules.calculators.asked import Asked
from rules.calculators.results import in_words
from rules.cut_length import FLANGE_EDITIONS, SOCKET, end
from rules.fillet import throat
from rules.gap import code_gap
from rules.pipe import Pipe, parse_nps, pipe
from rules.socket_fittings import socket_depth, socket_wall
from rules.units import show_length

Answer = Mapping[str, Any]


def drawing(answer: Answer, units: str) -> Sheet | None:
    """Return the drawing of an answer in a unit system; None for a calculator, or values, that have none."""
    draw = _DRAWN.get(answer["name"])
    return draw(answer, Asked(answer["inputs"], units)) if draw else None


def manner(calculator: str) -> str:
    """How the drawing of a calculator is made, as its title says."""
    return "sketched round the clock" if calculator in _SKETCHED else "drawn to scale"


def drawing_svg(sheet: Sheet, title: str) -> str:
    """Return a drawing for a page."""
    return svg(sheet.shapes, width=sheet.width, height=sheet.height, title=title, kind="section")


def _figure(answer: Answer, key: str) -> Decimal:
    return Decimal(str(answer["result"][key]))


def _told(answer: Answer, key: str, units: str, label: str) -> Dimension:
    """A figure of the answer with the words it is read off with."""
    words = next(line.words for line in in_words(answer, units) if line.key == key)
    return Dimension(_figure(answer, key), f"{label} {words}")


def _length(value: Decimal, units: str, label: str) -> Dimension:
    return Dimension(value, f"{label} {show_length(value, units)}".strip())


def _pipe(answer: Answer, asked: Asked) -> Sheet | None:
    od = _told(answer, "od_mm", asked.units, "outside diameter")
    return pipe_end(od, _told(answer, "wall_mm", asked.units, "wall"))


def _cut(answer: Answer, asked: Asked) -> Sheet | None:
    nps, joint = parse_nps(asked.text("nps")), asked.text("joint").lower()
    centre, length = asked.length("centre"), _figure(answer, "length_mm")
    taken = [_figure(answer, f"takeout{number}_mm") for number in (1, 2)]
    names = [asked.text(f"end{number}").lower() for number in (1, 2)]
    welded = sum(name != "plain" for name in names)
    allowance = asked.length("allowance", Decimal(0))
    opening = (centre - sum(taken) - length + allowance) / welded if welded else Decimal(0)
    classes = (asked.text("class", "3000"), asked.text("class2", asked.text("class", "3000")))
    flanges = (asked.units, asked.text("flange_edition", FLANGE_EDITIONS[0]))
    ends = tuple(
        _piece_end(
            one, taken[place], opening, end(one, nps, joint, classes[place], *flanges).depth_mm, joint, asked.units
        )
        for place, one in enumerate(names)
    )
    label = "cut, with the allowance," if allowance else "cut"
    return cut_piece(
        CutPiece(
            _length(centre, asked.units, "centre to centre"),
            _told(answer, "length_mm", asked.units, label),
            _length(_any_wall(nps).od(asked.units), asked.units, ""),
            (ends[0], ends[1]),
        )
    )


def _any_wall(nps: str) -> Pipe:
    """A pipe of this size: its outside diameter is the same in every schedule."""
    return pipe(nps, "STD")


def _piece_end(name: str, taken: Decimal, opening: Decimal, depth: Decimal | None, joint: str, units: str) -> PieceEnd:
    if name == "plain":
        return PieceEnd(name, Dimension(Decimal(0), ""))
    word = "gap" if joint == SOCKET else "root opening"
    return PieceEnd(
        name,
        _length(taken, units, "take-out"),
        _length(opening, units, word),
        Dimension(depth, "") if depth is not None else None,
    )


def _socket_leg(answer: Answer, asked: Asked) -> Sheet | None:
    units = asked.units
    leg = _told(answer, "leg_mm", units, "leg at least")
    one = pipe(asked.text("nps"), asked.text("schedule"))
    if not asked.has("class"):
        return fillet(leg, leg, _told(answer, "throat_mm", units, "throat"))
    depth, _ = socket_depth(one.nps, asked.text("class"), units)
    gap = code_gap(units=units).about_mm or Decimal(0)
    wall, socket = one.wall(units), socket_wall(one.nps, asked.text("class"), units)
    return section_sheet(
        SectionData(
            kind=SOCKET,
            pipe_wall=_length(wall, units, "wall"),
            socket_wall=Dimension(socket, f"socket wall at least {show_length(socket, units)}"),
            socket_depth=Dimension(depth, f"goes in {show_length(depth - gap, units)}"),
            gap=Dimension(gap, f"gap about {show_length(gap, units)}"),
            leg=leg,
        )
    )


def _flange_leg(answer: Answer, asked: Asked) -> Sheet | None:
    leg = _told(answer, "leg_mm", asked.units, "leg at least")
    across = throat(leg.value, leg.value).value
    return fillet(leg, leg, Dimension(across, "throat 0.707 x leg"))


def _throat(answer: Answer, asked: Asked) -> Sheet | None:
    return fillet(
        _length(asked.length("leg1"), asked.units, "leg"),
        _length(asked.length("leg2"), asked.units, "leg"),
        _told(answer, "throat_mm", asked.units, "throat"),
    )


def _insertion(answer: Answer, asked: Asked) -> Sheet | None:
    """The socket with its witness mark; without a schedule the pipe's wall is not known, and nothing is drawn."""
    if not asked.has("schedule") or _figure(answer, "mark_backed_off_mm") <= 0:
        return None
    units, one = asked.units, pipe(asked.text("nps"), asked.text("schedule"))
    depth, inserted = _figure(answer, "depth_mm"), _figure(answer, "insertion_mm")
    return section_sheet(
        SectionData(
            kind=SOCKET,
            pipe_wall=_length(one.wall(units), units, "wall"),
            socket_wall=Dimension(socket_wall(one.nps, asked.text("class"), units), ""),
            socket_depth=Dimension(depth, _told(answer, "insertion_mm", units, "goes in").words),
            gap=_length(depth - inserted, units, "gap"),
            mark=_told(answer, "mark_backed_off_mm", units, "mark shows"),
        )
    )


def _gap_round(answer: Answer, asked: Asked) -> Sheet | None:
    clocks = ("12", "3", "6", "9")
    return gap_round({clock: _length(asked.length(f"gap_{clock}"), asked.units, "") for clock in clocks})


def _crooked_cut(answer: Answer, asked: Asked) -> Sheet | None:
    """The long side at 6 o'clock, where the pipe stood on the bottom."""
    least, greatest = (
        _told(answer, "least_mm", asked.units, "least"),
        _told(answer, "greatest_mm", asked.units, "greatest"),
    )
    side = Dimension((least.value + greatest.value) / 2, "")
    return gap_round({"12": greatest, "3": side, "6": least, "9": side})


def _stops(answer: Answer, asked: Asked) -> Sheet | None:
    return stops_round(places_of(asked.text("stops")))


_SKETCHED = ("gap-round", "crooked-cut", "stop-spacing")
_DRAWN: Mapping[str, Callable[[Answer, Asked], Sheet | None]] = {
    "pipe": _pipe,
    "cut-length": _cut,
    "socket-leg": _socket_leg,
    "flange-leg": _flange_leg,
    "throat": _throat,
    "insertion": _insertion,
    "gap-round": _gap_round,
    "crooked-cut": _crooked_cut,
    "stop-spacing": _stops,
}
