"""Calculators of sizes: pipe, cut length, legs and throats, thermal growth."""

from dataclasses import replace
from decimal import Decimal
from functools import partial

from rules.calculators.asked import Answer, Asked
from rules.cut_length import BUTT, ENDS, SOCKET, End, cut_length, end
from rules.fillet import flange_leg, governs, size_of_concave, socket_leg, throat
from rules.gap import code_gap
from rules.growth import EDITIONS, MATERIALS, growth
from rules.pipe import Pipe, parse_nps, pipe
from rules.size_words import show_size
from rules.socket_fittings import socket_wall
from rules.source import Source
from rules.units import show_computed


def of_pipe(asked: Asked) -> Answer:
    """Outside diameter and wall."""
    one = pipe_of(asked)
    named = f"{show_size(one.nps, asked.units)} Schedule {one.schedule}"
    step = f"{named}: {one.od_in} in x {one.wall_in} in, {one.od_mm} mm x {one.wall_mm} mm"
    result = {"od_mm": one.od(asked.units), "wall_mm": one.wall(asked.units)}
    return Answer(result, (step,), replace(one.source, clause=named))


def of_cut(asked: Asked) -> Answer:
    """Cut length between two fittings."""
    nps, joint = asked.text("nps"), asked.choice("joint", (SOCKET, BUTT))
    centre = asked.length("centre")
    ends = [_end(asked, f"end{i}", key, nps, joint) for i, (_, key) in enumerate(_classes(asked), start=1)]
    key, default = ("gap", code_gap(units=asked.units).about_mm) if joint == SOCKET else ("root", Decimal(0))
    allowance = asked.length("allowance", Decimal(0))
    cut = cut_length(centre, (ends[0], ends[1]), asked.length(key, default), allowance, asked.units)
    notes = []
    if not asked.has(key):
        told = "the code's figure before welding (ASME B31.3 Fig. 328.5.2C)" if joint == SOCKET else "none is taken"
        notes.append(f"{key} is not given: {told}.")
    if any(not asked.has(key) and _of_class(name, joint) for name, key in _classes(asked)):
        notes.append("class is not given: 3000 is taken.")
    result = {
        "length_mm": cut.length_mm,
        "takeout1_mm": cut.takeouts_mm[0],
        "takeout2_mm": cut.takeouts_mm[1],
        "insertion_mm": cut.insertion_mm,
    }
    return Answer(result, cut.steps, cut.source, notes)


def of_socket_leg(asked: Asked) -> Answer:
    """Least leg of a socket weld."""
    one = pipe_of(asked)
    wall = one.wall(asked.units)
    with asked.about("class"):
        socket = socket_wall(one.nps, asked.text("class"), asked.units) if asked.has("class") else None
    leg = socket_leg(wall, socket, units=asked.units)
    across = throat(leg.value, leg.value, asked.units)
    result = {"leg_mm": leg.value, "throat_mm": across.value, "governs": governs(wall, socket)}
    return Answer(result, (*leg.steps, *across.steps), leg.source, leg.notes)


def of_flange_leg(asked: Asked) -> Answer:
    """Least leg of a slip-on or socket-welding flange."""
    one = pipe_of(asked)
    side = asked.choice("side", ("hub", "face"), "hub")
    leg = flange_leg(one.wall(asked.units), asked.maybe_length("hub"), side=side, units=asked.units)
    return Answer({"leg_mm": leg.value}, leg.steps, leg.source, leg.notes)


def of_throat(asked: Asked) -> Answer:
    """Throat and size of a fillet; with an actual throat the size of a concave one."""
    theoretical = throat(asked.length("leg1"), asked.length("leg2"), asked.units)
    actual = asked.maybe_length("actual")
    smaller = min(asked.length("leg1"), asked.length("leg2"))
    if actual is None or actual >= theoretical.value:
        over = [] if actual is None else [_convexity(show_computed(actual - theoretical.value, asked.units))]
        result = {"throat_mm": theoretical.value, "size_mm": smaller}
        return Answer(result, (*theoretical.steps, *over), theoretical.source)
    size, told = min(size_of_concave(actual), smaller), partial(show_computed, units=asked.units)
    step = f"concave: size {told(actual)} / 0.7071, not over the smaller leg = {told(size)}"
    source = Source("ASME B31.3", "", "Fig. 328.5.2A", "memory")
    return Answer({"throat_mm": actual, "size_mm": size}, (*theoretical.steps, step), source)


def _convexity(over: str) -> str:
    return f"convex: {over} over the theoretical throat is reinforcement, limited by criterion L or M"


def of_growth(asked: Asked) -> Answer:
    """Thermal growth."""
    verdict = growth(
        asked.choice("material", MATERIALS),
        asked.temperature("from"),
        asked.temperature("to"),
        asked.length("length"),
        asked.choice("edition", EDITIONS, "older"),
        asked.units,
    )
    return Answer({"growth_mm": verdict.value}, verdict.steps, verdict.source, verdict.notes)


def pipe_of(asked: Asked) -> Pipe:
    with asked.about("nps"):
        size = parse_nps(asked.text("nps"), asked.units)
    with asked.about("schedule"):
        return pipe(size, asked.text("schedule"), asked.units)


def _classes(asked: Asked) -> tuple[tuple[str, str], ...]:
    """The fittings at both ends, each with the key that says its class."""
    second = "class2" if asked.has("class2") else "class"
    return (asked.choice("end1", ENDS), "class"), (asked.choice("end2", ENDS), second)


def _of_class(name: str, joint: str) -> bool:
    """Whether a fitting is made in classes: those with sockets, but flanges, which say theirs."""
    return joint == SOCKET and not name.startswith(("flange-", "plain"))


def _end(asked: Asked, key: str, of_class: str, nps: str, joint: str) -> End:
    """An end of the pipe; a size that its table lacks is told of the class where that decides, else of the end."""
    name = asked.choice(key, ENDS)
    decides = asked.has(of_class) and _of_class(name, joint)
    with asked.about(of_class if decides else key):
        return end(name, nps, joint, asked.text(of_class, "3000"), asked.units, asked.text("flange_edition", "2003"))
