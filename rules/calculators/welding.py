"""Calculators of welding: heat input, preheat and heat treatment."""

from rules.calculators.asked import Answer, Asked
from rules.calculators.grouping import p_number
from rules.heat_input import arc_energy, efficiency, show_energy
from rules.heating import PREHEAT_EDITIONS, TREATMENT_EDITIONS, heat_treatment, preheat
from rules.source import Source


def of_heat_input(asked: Asked) -> Answer:
    """Arc energy, and heat input where a factor is known."""
    energy = arc_energy(asked.volts(), asked.amps(), asked.travel(), asked.units)
    k = asked.maybe_number("k")
    if k is None and asked.has("process"):
        with asked.about("process"):
            k = efficiency(asked.text("process"))
    if k is None:
        note = "Without process or k the heat input of EN 1011-1 is not computed."
        return Answer({"arc_energy": energy.value, "heat_input": None}, energy.steps, energy.source, (note,))
    value = k * energy.value
    step = f"EN 1011-1: k {k} x {show_energy(energy.value, asked.units)} = {show_energy(value, asked.units)}"
    source = Source("ASME BPVC Section IX QW-409.1(a); EN 1011-1", "", "", "checked")
    return Answer({"arc_energy": energy.value, "heat_input": value}, (*energy.steps, step), source)


def of_preheat(asked: Asked) -> Answer:
    """Least preheat by edition."""
    edition = _edition(asked, tuple(PREHEAT_EDITIONS))
    p = p_number(asked, "p") or asked.text("p")
    with asked.about("p"):
        found = preheat(
            edition,
            p,
            asked.length("thickness"),
            asked.maybe_number("carbon"),
            asked.maybe_strength("tensile"),
            asked.units,
        )
    return Answer({"preheat_c": found.preheat_c, "required": found.required}, found.steps, found.source, found.notes)


def of_heat_treatment(asked: Asked) -> Answer:
    """Heat treatment by edition."""
    edition = _edition(asked, tuple(TREATMENT_EDITIONS))
    layers = asked.choice("layers", ("single", "multi")) if asked.has("layers") else ""
    p = p_number(asked, "p") or asked.text("p")
    with asked.about("p"):
        found = heat_treatment(
            edition,
            p,
            asked.length("thickness"),
            preheat_c=asked.maybe_temperature("preheat"),
            several_layers=None if not layers else layers == "multi",
            carbon=asked.maybe_number("carbon"),
            throat_mm=asked.maybe_length("throat"),
            units=asked.units,
        )
    result = {"required": found.required, "min_c": found.min_c, "max_c": found.max_c, "hold_h": found.hold_h}
    return Answer(result, found.steps, found.source, found.notes)


def _edition(asked: Asked, known: tuple[str, ...]) -> str:
    """The edition given, else the job's where the tables have it, else the newest; the source names it."""
    if asked.has("edition"):
        return asked.choice("edition", known)
    return asked.edition if asked.edition in known else known[-1]
