"""Calculators of amounts: passes, stops round the dial, filler, samples."""

import re
from decimal import Decimal

from rules.calculators.asked import Answer, Asked, Fault, refused
from rules.dial import stops_apart
from rules.filler_needed import PRACTICE, filler_needed, fillet_section, groove_section
from rules.fillet import throat
from rules.gap_round import GEOMETRY
from rules.layers import least_passes
from rules.pipe import pipe
from rules.sample import TYPE, WELDER, sample
from rules.units import UnitError, parse_clock

FILLET, GROOVE = "fillet", "groove"
METALS = ("carbon", "austenitic")


def of_least_passes(asked: Asked) -> Answer:
    """The least number of passes of a groove by its wall, or of a fillet by its legs' throat."""
    thickness = asked.length("thickness") if asked.has("thickness") else None
    steps: tuple[str, ...] = ()
    if thickness is None:
        if not asked.has("leg"):
            raise refused(Fault("thickness", "A groove needs its wall, a fillet its leg.", is_missing=True))
        across = throat(asked.length("leg"), asked.length("leg"), asked.units)
        thickness, steps = across.value, across.steps
    with asked.about("process"):
        found = least_passes(
            thickness,
            asked.text("process"),
            layer_mm=asked.maybe_length("layer"),
            specified=asked.count("specified", 0),
            units=asked.units,
        )
    return Answer({"passes": found.value}, (*steps, *found.steps), found.source, found.notes)


def of_stop_spacing(asked: Asked) -> Answer:
    """How near the stops (or starts) of neighbouring passes come round the dial."""
    stops = places_of(asked.text("stops"))
    od = pipe(asked.text("nps"), "STD").od(asked.units) if asked.has("nps") else None
    spacing = asked.number("spacing") if asked.has("spacing") else None
    with asked.about("spacing" if len(stops) > 1 else "stops"):
        found = stops_apart(stops, spacing, od, asked.units)
    notes = ["No code limits the spacing: it is the procedure's or the owner's."]
    result = {"apart_degrees": found.degrees, "apart_mm": found.mm, "stacked": found.stacked}
    return Answer(result, found.steps, GEOMETRY, notes)


def of_filler_needed(asked: Asked) -> Answer:
    """Filler for a number of like joints."""
    one = pipe(asked.text("nps"), asked.text("schedule"), asked.units)
    od, wall = one.od(asked.units), one.wall(asked.units)
    if asked.choice("section", (FILLET, GROOVE)) == FILLET:
        if not asked.has("leg"):
            raise refused(Fault("leg", "A fillet needs its leg.", is_missing=True))
        section = fillet_section(od, asked.length("leg"), asked.length("leg2", asked.length("leg")), asked.units)
    else:
        zero = Decimal(0)
        with asked.about("angle"):
            section = groove_section(
                od,
                wall,
                root_mm=asked.length("root", zero),
                land_mm=asked.length("land", zero),
                angle_degrees=asked.number("angle", Decimal(75)),
                reinforcement_mm=asked.length("reinforcement", zero),
                units=asked.units,
            )
    with asked.about("efficiency" if asked.has("efficiency") else "process"):
        found = filler_needed(
            section,
            asked.count("joints", 1),
            asked.text("process"),
            asked.choice("metal", METALS, METALS[0]),
            asked.maybe_number("efficiency"),
            asked.number("spare", Decimal(0)),
            asked.units,
        )
    result = {"deposited_kg": found.deposited_kg, "filler_kg": found.needed_kg}
    return Answer(result, found.steps, PRACTICE, found.notes)


def of_sample_size(asked: Asked) -> Answer:
    """The least sample of a lot in which every welder, or every type of weld by each, is represented."""
    welds: dict[tuple[str, str], int] = {}
    for part in asked.text("welds").split(","):
        if part.strip():
            welder, kind, count = _counted(part)
            welds[welder, kind] = welds.get((welder, kind), 0) + count
    with asked.about("share"):
        found = sample(asked.number("share"), welds, asked.choice("each", (WELDER, TYPE), WELDER))
    result = {"size": found.size, "of": {" ".join(group): number for group, number in found.of.items()}}
    return Answer(result, found.steps, found.source)


def _counted(text: str) -> tuple[str, str, int]:
    """Welder, type of weld and number out of `A1 butt 40`; the type may be left out."""
    found = re.fullmatch(r"(\S+)(?:\s+([A-Za-z-]+))?\s+([0-9]{1,9})", text.strip())
    if not found:
        told = f'"{text.strip()}" is no welder and number; accepted are lists such as A1 butt 40, A1 socket 9, B2 12.'
        raise refused(Fault("welds", told, ("A1 butt 40, A1 socket 9, B2 12",)))
    return found[1], found[2] or "", int(found[3])


def places_of(text: str) -> list[list[Decimal]]:
    """Degrees from 12 o'clock pass by pass, out of `12, 4:30+9`; raises ComputeError for what is no clock position."""
    return [_places(one) for one in text.split(",") if one.strip()]


def _places(text: str) -> list[Decimal]:
    """The stops of one pass as hours of a clock, several segments joined by +."""
    try:
        return [parse_clock(one) for one in text.split("+")]
    except UnitError as wrong:
        raise refused(Fault("stops", str(wrong), ("12, 4:30, 9", "12+6, 3+9"))) from wrong
