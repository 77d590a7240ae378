"""Calculators of papers: certificates and carbon equivalents."""

from decimal import Decimal

from rules.calculators.asked import Answer, Asked
from rules.calculators.grouping import a_number
from rules.certificate import (
    ELEMENTS,
    NEWER,
    OLDER,
    REPORTED,
    ROUNDED,
    carbon_equivalent,
    check,
    compared,
    has_limits,
    known_materials,
)  # fmt: skip
from rules.facts import HeatFacts
from rules.nearest import NotAccepted
from rules.source import Source
from rules.tables import table

_COMPARED = {
    ROUNDED: "Values are rounded to the last digit of the limit before comparing (ASTM E29).",
    REPORTED: "Values are compared as reported (ASTM E29 has that, too).",
}


def of_certificate(asked: Asked) -> Answer:
    """A certificate against its material."""
    material = asked.text("material")
    if not has_limits(material):
        with asked.about("material"):
            raise NotAccepted(f'There is no table for "{material}"', material, known_materials())
    heat = HeatFacts(
        number="heat",
        material=material,
        certificate="",
        elements={name: asked.number(name) for name in ELEMENTS if asked.has(name)},
        tensile_mpa=asked.maybe_strength("tensile"),
        yield_mpa=asked.maybe_strength("yield"),
        elongation_percent=asked.maybe_number("elongation"),
        hardness=asked.maybe_number("hardness"),
    )
    edition = asked.choice("edition", (OLDER, NEWER), NEWER)
    rounding = asked.choice("rounding", (ROUNDED, REPORTED), ROUNDED)
    supplement = asked.yes("supplement", "no")
    section = asked.maybe_length("section")
    verdict = check(heat, asked.units, edition, rounding=rounding, supplement=supplement, section_mm=section)
    assert verdict is not None
    faults = [str(one) for one in verdict.value]
    steps = [
        *compared(heat, asked.units, edition, supplement=supplement, section_mm=section),
        *(one.step for one in verdict.value if one.step),
    ]
    notes = [*verdict.notes, _COMPARED[rounding]]
    if number := a_number(asked, "a_number"):
        notes += _against_a(heat, number)
    return Answer({"passed": not faults, "faults": faults}, steps, verdict.source, notes)


def of_carbon_equivalent(asked: Asked) -> Answer:
    """CE (IIW) and Pcm."""
    elements = {name: asked.number(name) for name in ELEMENTS if asked.has(name)}
    for name in ("C", "Mn"):
        asked.number(name)
    ce, pcm = carbon_equivalent(elements)
    steps = (
        f"CE = C + Mn/6 + (Cr+Mo+V)/5 + (Ni+Cu)/15 = {ce:.4f}",
        f"Pcm = C + Si/30 + (Mn+Cu+Cr)/20 + Ni/60 + Mo/15 + V/10 + 5B = {pcm:.4f}",
    )
    missing = [name for name in ("Si", "Cr", "Mo", "V", "Ni", "Cu", "B") if name not in elements]
    notes = [f"Not given and taken as none: {', '.join(missing)}."] if missing else []
    return Answer({"ce": ce, "pcm": pcm}, steps, Source("IIW", "", "carbon equivalent", "checked"), notes)


def _against_a(heat: HeatFacts, number: str) -> list[str]:
    """What of an analysis is outside the A-Number named (QW-442), or that this one's limits are not here."""
    row = next((one for one in table("a_numbers_qw442").rows if one["a_number"] == number), None)
    if row is None:
        return [f"The limits of A-No. {number} are not in the tables here; it is not judged."]
    over = [
        f"{name} {heat.elements[name]} over {most}"
        for name in ("C", "Mn", "Si")
        for most in [Decimal(row[name])]
        if heat.elements.get(name, most) > most
    ]
    told = (
        f"The heat is outside A-No. {number} ({', '.join(over)}): tell the engineer; it is no fault of the certificate."
    )
    return [told] if over else []
