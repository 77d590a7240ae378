"""Calculators of fitting: insertion, the gap before welding and all round, squareness, tolerances."""

import re
from decimal import Decimal

from rules.calculators.asked import Answer, Asked, Fault, refused
from rules.cut_length import BUTT, ENDS, SOCKET, end, tolerance_stack
from rules.fillet import socket_leg
from rules.gap import OWNER, PLACES, PROCEDURE, GapFigure, code_gap, judge_gap
from rules.gap_round import GEOMETRY, from_cut, from_readings, members_square
from rules.growth import EDITIONS, MATERIALS, in_socket
from rules.insertion import insert
from rules.nps import diameter_inches
from rules.pipe import pipe
from rules.socket_fittings import socket_depth, socket_wall
from rules.source import Source
from rules.units import LONGEST, US


def of_insertion(asked: Asked) -> Answer:
    """How deep the pipe goes in, and where the witness mark stands."""
    depth, source = _socket(asked)
    depth = asked.length("depth", depth)
    leg = Decimal(0)
    if asked.has("schedule"):
        with asked.about("schedule"):
            one = pipe(asked.text("nps"), asked.text("schedule"), asked.units)
        wall = socket_wall(one.nps, asked.text("class"), asked.units)
        leg = socket_leg(one.wall(asked.units), wall, units=asked.units).value
    found = insert(depth, _gap(asked), source, leg_mm=leg, mark_mm=asked.maybe_length("mark"), units=asked.units)
    result = {
        "depth_mm": depth,
        "insertion_mm": found.insertion_mm,
        "mark_mm": found.mark_mm,
        "mark_bottomed_mm": found.bottomed_mm,
        "mark_backed_off_mm": found.backed_off_mm,
    }
    return Answer(result, found.steps, source, found.notes)


def of_gap(asked: Asked) -> Answer:
    """Whose figure a job uses for the gap before welding, and whether a measured gap lies within it."""
    code = code_gap(
        asked.choice("code", ("B31.3", "B31.1"), "B31.3"), asked.choice("at", PLACES, PLACES[0]), asked.units
    )
    named = " ".join(part for part in (asked.text("owner", "owner's specification"), asked.text("clause", "")) if part)
    sources = {PROCEDURE: ("wps", Source(f"WPS {asked.text('wps', '')}".rstrip())), OWNER: ("owner", Source(named))}
    others = [
        GapFigure(whose, source, asked.maybe_length(f"{key}_min"), asked.maybe_length(f"{key}_max"))
        for whose, (key, source) in sources.items()
        if asked.has(f"{key}_min") or asked.has(f"{key}_max")
    ]
    found = judge_gap(code, others, asked.length("measured"), asked.units)
    result = {
        "used": found.used.whose,
        "least_mm": found.used.least_mm,
        "greatest_mm": found.used.greatest_mm,
        "code_mm": code.about_mm,
        "accepted": found.accepted,
    }
    return Answer(result, found.steps, found.used.source, found.notes)


def of_gap_round(asked: Asked) -> Answer:
    """The least and greatest gap round the pipe from four readings."""
    found = from_readings({clock: asked.length(f"gap_{clock}") for clock in ("12", "3", "6", "9")}, asked.units)
    result = {
        "least_mm": found.least_mm,
        "greatest_mm": found.greatest_mm,
        "out_of_square_mm": found.out_of_square_mm,
    }
    return Answer(result, found.steps, GEOMETRY, found.notes)


def of_crooked_cut(asked: Asked) -> Answer:
    """The least and greatest gap round a pipe whose cut is out of square."""
    od = pipe(asked.text("nps"), "STD").od(asked.units) if asked.has("nps") else None
    found = from_cut(
        asked.length("out_of_square"),
        _gap(asked),
        od_mm=od,
        measured_over_mm=asked.maybe_length("over"),
        units=asked.units,
    )
    result = {
        "least_mm": found.least_mm,
        "greatest_mm": found.greatest_mm,
        "out_of_square_mm": found.out_of_square_mm,
    }
    return Answer(result, found.steps, GEOMETRY, found.notes)


def of_squareness(asked: Asked) -> Answer:
    """Whether two members are square by their two inside measurements."""
    one, other = asked.length("one"), asked.length("other")
    found = members_square(one, other, asked.units, asked.maybe_length("agree"))
    return Answer({"square": found.value, "difference_mm": abs(one - other)}, found.steps, found.source)


def of_socket_growth(asked: Asked) -> Answer:
    """Differential growth inside a socket against its gap."""
    depth, _ = _socket(asked)
    material, start = asked.choice("material", MATERIALS), asked.temperature("from")
    found = in_socket(
        material,
        asked.choice("socket_material", MATERIALS, material),
        start,
        asked.temperature("to"),
        asked.temperature("socket_to") if asked.has("socket_to") else start,
        asked.length("depth", depth),
        _gap(asked),
        asked.choice("edition", EDITIONS, "older"),
        asked.units,
    )
    result = {
        "pipe_growth_mm": found.pipe_mm,
        "socket_growth_mm": found.socket_mm,
        "closing_mm": found.closing_mm,
        "left_mm": found.left_mm,
        "touches": found.left_mm <= 0,
    }
    cold = [] if asked.has("socket_to") else ["The socket is taken as still cold, which closes the gap most."]
    return Answer(result, found.steps, found.source, [*cold, *found.notes])


# The tolerances of socket-welding fittings go by size alone, and there are fittings of this class in every size.
_ANY_CLASS = "3000"


def of_tolerance_stack(asked: Asked) -> Answer:
    """How far the centre distance can be out by the fittings' tolerances alone."""
    nps, joint = asked.text("nps"), asked.choice("joint", (SOCKET, BUTT))
    names = [asked.choice(key, ENDS) for key in ("end1", "end2")]
    with asked.about("end1"):
        one = end(names[0], nps, joint, _ANY_CLASS, asked.units)
    with asked.about("end2"):
        other = end(names[1], nps, joint, _ANY_CLASS, asked.units)
    found = tolerance_stack((one, other), asked.units)
    return Answer({"tolerance_mm": found.value}, found.steps, found.source)


def of_diameter_inches(asked: Asked) -> Answer:
    """Diameter-inches of a list such as `1-1/2 x 12, 2 x 4`."""
    joints = [_counted(one, asked.units) for one in asked.text("joints").split(",") if one.strip()]
    with asked.about("joints"):
        found = diameter_inches(joints, asked.units)
    result = {
        "diameter_inches": Decimal(found.value.numerator) / found.value.denominator,
        "joints": sum(n for _, n in joints),
    }
    return Answer(result, found.steps, found.source)


def _counted(text: str, units: str) -> tuple[str, int]:
    text = text.strip()
    found = re.fullmatch(r"(.+?)\s*(?:[x×*]\s*(\d{1,9}))?", text) if len(text) <= LONGEST else None
    if not found or "x" in found[1]:
        example = "1-1/2 x 12, 2 x 4" if units == US else "DN 40 x 12, DN 50 x 4"
        told = f'"{text[:40]}" is no size and number; accepted are lists such as {example}.'
        raise refused(Fault("joints", told, (example,)))
    return found[1], int(found[2] or 1)


def _socket(asked: Asked) -> tuple[Decimal, Source]:
    with asked.about("class"):
        return socket_depth(asked.text("nps"), asked.text("class"), asked.units)


def _gap(asked: Asked) -> Decimal:
    """The gap given, else the code's figure."""
    return asked.length("gap", code_gap(units=asked.units).about_mm)
