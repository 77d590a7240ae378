"""The trade calculators by name: text in, a result with steps and source out."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Any

from rules.calculators import amounts, examining, fitting, papers, procedures, sizes, welders, welding
from rules.calculators.asked import Answer, Asked, ComputeError, Fault
from rules.calculators.fields import faults
from rules.certificate import ELEMENTS
from rules.nearest import NotAccepted, nearest
from rules.units import SI, US

_PLACES = Decimal("0.000001")


@dataclass(frozen=True, slots=True)
class Calculator:
    """One calculator: what it says in a line, and the keys it takes."""

    name: str
    title: str
    required: tuple[str, ...]
    optional: tuple[str, ...]
    run: Callable[[Asked], Answer]


_LIST = (
    Calculator("pipe", "Outside diameter and wall of pipe", ("nps", "schedule"), (), sizes.of_pipe),
    Calculator(
        "cut-length",
        "Length to cut between two fittings",
        ("nps", "joint", "centre", "end1", "end2"),
        ("class", "class2", "gap", "root", "allowance", "flange_edition"),
        sizes.of_cut,
    ),
    Calculator("socket-leg", "Least leg of a socket weld", ("nps", "schedule"), ("class",), sizes.of_socket_leg),
    Calculator("flange-leg", "Least leg at a flange", ("nps", "schedule"), ("hub", "side"), sizes.of_flange_leg),
    Calculator("throat", "Throat and size of a fillet", ("leg1", "leg2"), ("actual",), sizes.of_throat),
    Calculator(
        "imperfection-limit",
        "Limit of an imperfection",
        ("service", "weld", "kind", "wall"),
        ("measured", "length", "width", "cumulative"),
        examining.of_imperfection,
    ),
    Calculator(
        "welder-range",
        "What a welder's test covers",
        ("process", "weld", "coupon", "position", "deposit"),
        (
            "od",
            "layers",
            "p",
            "f",
            "backing",
            "transfer",
            "joint_kind",
            "joint_od",
            "joint_position",
            "joint_thickness",
            "joint_p",
            "joint_f",
            "joint_backing",
            "joint_tack",
            "coupon_thickness",
            "edition",
        ),
        welders.of_range,
    ),
    Calculator("continuity", "When a process lapses", ("last_used",), ("as_of", "process"), welders.of_continuity),
    Calculator(
        "heat-input", "Arc energy and heat input", ("volts", "amps", "travel"), ("process", "k"), welding.of_heat_input
    ),
    Calculator(
        "carbon-equivalent",
        "Carbon equivalents",
        ("C", "Mn"),
        tuple(name for name in ELEMENTS if name not in ("C", "Mn")),
        papers.of_carbon_equivalent,
    ),
    Calculator(
        "certificate-check",
        "A certificate against its material",
        ("material",),
        (
            *ELEMENTS,
            "tensile",
            "yield",
            "elongation",
            "hardness",
            "edition",
            "rounding",
            "a_number",
            "supplement",
            "section",
        ),
        papers.of_certificate,
    ),
    Calculator(
        "examination-extent",
        "How many welds to examine",
        ("service", "girth", "socket"),
        ("welders", "branch", "p", "longitudinal"),
        examining.of_extent,
    ),
    Calculator(
        "progressive",
        "What rejects in a sample ask next",
        ("rejects",),
        ("rounds", "available", "reading"),
        examining.of_progressive,
    ),
    Calculator("preheat", "Least preheat", ("p", "thickness"), ("edition", "carbon", "tensile"), welding.of_preheat),
    Calculator(
        "heat-treatment",
        "Heat treatment after welding",
        ("p", "thickness"),
        ("edition", "preheat", "layers", "carbon", "throat"),
        welding.of_heat_treatment,
    ),
    Calculator(
        "test-pressure",
        "Pressures of a leak test",
        ("kind", "design"),
        ("st", "s", "code", "nps", "schedule", "yield"),
        examining.of_leak_test,
    ),
    Calculator("thermal-growth", "Thermal growth", ("material", "from", "to", "length"), ("edition",), sizes.of_growth),
    Calculator(
        "insertion",
        "Insertion and witness mark",
        ("nps", "class"),
        ("gap", "schedule", "mark", "depth"),
        fitting.of_insertion,
    ),
    Calculator(
        "gap",
        "The gap before welding and its limits",
        ("measured",),
        ("code", "at", "wps", "wps_min", "wps_max", "owner", "clause", "owner_min", "owner_max"),
        fitting.of_gap,
    ),
    Calculator(
        "gap-round",
        "The gap all round from four readings",
        ("gap_12", "gap_3", "gap_6", "gap_9"),
        (),
        fitting.of_gap_round,
    ),
    Calculator(
        "crooked-cut",
        "The gap all round from a crooked cut",
        ("out_of_square",),
        ("gap", "nps", "over"),
        fitting.of_crooked_cut,
    ),
    Calculator("squareness", "Two members square to each other", ("one", "other"), ("agree",), fitting.of_squareness),
    Calculator(
        "socket-growth",
        "Growth inside a socket against its gap",
        ("nps", "class", "material", "from", "to"),
        ("socket_material", "socket_to", "gap", "depth", "edition"),
        fitting.of_socket_growth,
    ),
    Calculator(
        "tolerance-stack",
        "The fittings' tolerances added up",
        ("nps", "joint", "end1", "end2"),
        (),
        fitting.of_tolerance_stack,
    ),
    Calculator("diameter-inches", "Diameter-inches of joints", ("joints",), (), fitting.of_diameter_inches),
    Calculator(
        "least-passes",
        "Least number of passes",
        ("process",),
        ("thickness", "leg", "layer", "specified"),
        amounts.of_least_passes,
    ),
    Calculator("stop-spacing", "Stops of neighbouring passes", ("stops",), ("spacing", "nps"), amounts.of_stop_spacing),
    Calculator(
        "filler-needed",
        "Filler for joints",
        ("section", "nps", "schedule", "process"),
        ("joints", "leg", "leg2", "root", "land", "angle", "reinforcement", "metal", "efficiency", "spare"),
        amounts.of_filler_needed,
    ),
    Calculator(
        "sample-size",
        "How large a sample, with every welder in it",
        ("share", "welds"),
        ("each",),
        amounts.of_sample_size,
    ),
    Calculator(
        "surface-indications",
        "Indications by penetrant or magnetic particles",
        ("method",),
        ("rounded", "linear", "in_line", "apart"),
        examining.of_surface,
    ),
    Calculator(
        "procedure-check",
        "Whether a procedure covers a joint",
        ("joint_kind", "nps", "schedule"),
        (
            *("p", "p_b", "position", "progression", "process", "filler", "deposit", "thickness", "edition"),
            *("carbon", "tensile", "layers", "wps_p", "wps_p_b", "wps_kinds", "wps_thickness_min"),
            *("wps_thickness_max", "wps_deposit_max", "wps_od_min", "wps_positions", "wps_progression"),
            *("wps_processes", "wps_fillers", "wps_preheat", "wps_pwht"),
        ),
        procedures.of_procedure,
    ),
)
CALCULATORS: Mapping[str, Calculator] = {one.name: one for one in _LIST}


def compute(name: str, values: Mapping[str, str], *, units: str = SI, edition: str = "") -> dict[str, Any]:
    """Run a calculator.

    values    text by key, case-sensitive; bare numbers in the unit system (strengths: MPa); empty counts as not given
    edition   the job's, used where the calculator's tables have it and none is given
    Returns   {name, inputs, result, steps, source: {code, edition, clause, state}, notes}, ready for JSON: lengths in
              mm, temperatures in °C, heat input in kJ/mm, dates ISO 8601
    Raises    ComputeError with a sentence for each fault: an unknown name or key, a missing or wrong value, no answer
    """
    calculator = CALCULATORS.get(name)
    if calculator is None:
        raise ComputeError(f'There is no calculator "{name}"; accepted are {", ".join(nearest(name, CALCULATORS))}.')
    if units not in (US, SI):
        told = f'There are no units "{units}"; accepted are US and SI.'
        raise ComputeError(told, Fault("units", told, (US, SI)))
    accepted = (*calculator.required, *calculator.optional)
    if unknown := [key for key in values if key not in accepted]:
        told = str(NotAccepted(f'{name} takes no "{unknown[0]}"', unknown[0], accepted))
        raise ComputeError(told, Fault(unknown[0], told, tuple(nearest(unknown[0], accepted))))
    asked = Asked(values, units, edition)
    missing = [key for key in calculator.required if not asked.has(key)]
    wrong = faults(name, values, units)
    if missing or wrong:
        needs = [f"{name} needs {', '.join(missing)}."] if missing else []
        empty = (Fault(key, "This is needed.", is_missing=True) for key in missing)
        raise ComputeError("\n".join([*needs, *map(str, wrong)]), *empty, *wrong)
    inputs = {key: value for key, value in values.items() if value.strip()}
    return {"name": name, "inputs": inputs, **_run(calculator, asked)}


def _run(calculator: Calculator, asked: Asked) -> dict[str, Any]:
    """The answer, ready for JSON, from values that are each right by themselves."""
    try:
        answer = calculator.run(asked)
        result = {key: _plain(value) for key, value in answer.result.items()}
    except ComputeError:
        raise
    except ValueError as no_answer:
        raise ComputeError(str(no_answer)) from no_answer
    except ArithmeticError as beyond:
        raise ComputeError("These figures are too large or too small to compute with.") from beyond
    source = answer.source
    return {
        "result": result,
        "steps": list(answer.steps),
        "source": {"code": source.code, "edition": source.edition, "clause": source.clause, "state": source.state},
        "notes": list(answer.notes),
    }


def _plain(value: Any) -> Any:
    """A figure as JSON has it: whole numbers and binary fractions, rounded to a millionth."""
    if isinstance(value, Decimal):
        rounded = value.quantize(_PLACES, ROUND_HALF_EVEN)
        return int(rounded) if rounded == rounded.to_integral_value() else float(rounded)
    return value
