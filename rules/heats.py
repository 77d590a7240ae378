"""The pieces of a fitted joint: a heat on each side, its certificate, its material and its chemistry."""

from collections.abc import Mapping

from rules.case import Case, found
from rules.certificate import NEWER, ROUNDED, Fault, check
from rules.compare import folded
from rules.facts import HeatFacts, MaterialFacts
from rules.finding import Finding
from rules.materials import is_same_material
from rules.remember import Remembered
from rules.reweld import Replaced, read_since, replaced_sides
from rules.source import Source, Verdict

_PRACTICE = Source("common practice", state="practice")
_checked: Remembered[Verdict[tuple[Fault, ...]] | None] = Remembered()


def findings(case: Case) -> list[Finding]:
    """What is missing or wrong of the heats on both sides, from fit-up on."""
    joint, job = case.joint, case.job
    asked = (job.units, job.certificates_edition, job.certificates_rounding)
    found_here: list[Finding] = []
    sides = (("A", joint.heat_a, joint.material_a), ("B", joint.heat_b, joint.material_b))
    others = replaced_sides(joint)
    for side, planned, material in sides:
        heat, read = (planned, "") if planned and not others else _standing(case, side, planned, others)
        if heat is None:
            found_here.append(_unknown(case, side, read) if read else _missing(case, side))
            continue
        if not heat.certificate:
            found_here.append(_no_certificate(case, side, heat))
        if material and heat.material and material.name != heat.material:
            found_here += _other_material(case, side, heat, material)
        if faults := _checked.get(heat, asked, _chemistry, heat, *asked):
            found_here.append(_out_of_range(case, side, heat, faults))
    return found_here


def heats_of(case: Case) -> tuple[HeatFacts | None, HeatFacts | None]:
    """The heats that a joint stands on: as planned, or as read off a piece where none is planned or another came."""
    joint, others = case.joint, replaced_sides(case.joint)
    return _standing(case, "A", joint.heat_a, others)[0], _standing(case, "B", joint.heat_b, others)[0]


def _standing(
    case: Case, side: str, planned: HeatFacts | None, others: Mapping[str, Replaced]
) -> tuple[HeatFacts | None, str]:
    """The heat of a side and the number that stands for it; no heat for a number that the job does not have."""
    replaced = others.get(side)
    if planned and not replaced:
        return planned, planned.number
    since = replaced.since if replaced else case.live[0]
    read, heat = read_since(case.joint, case.derived.attempts, side, since)
    if planned and (not read or folded(read) == folded(planned.number)) and not (replaced and replaced.is_sure):
        return planned, planned.number
    return heat, read


def _unknown(case: Case, side: str, read: str) -> Finding:
    told = f"Heat {read} was read off side {side} at fit-up, and the job has no heat of that number."
    return found(case, "heat-missing", told, _PRACTICE, measured=read, limit="a heat of the job", subject=read)


def _missing(case: Case, side: str) -> Finding:
    told = f"No heat number is known for side {side} of this fitted joint."
    return found(case, "heat-missing", told, _PRACTICE, measured="none", limit="a heat number", subject=side)


def _no_certificate(case: Case, side: str, heat: HeatFacts) -> Finding:
    told = f"Heat {heat.number} on side {side} names no certificate."
    limit = "a certificate"
    return found(case, "certificate-missing", told, _PRACTICE, measured="none", limit=limit, subject=heat.number)


def _other_material(case: Case, side: str, heat: HeatFacts, material: MaterialFacts) -> list[Finding]:
    if is_same_material(material.name, heat.material):
        return []
    told = f"Heat {heat.number} on side {side} is {heat.material}, and the joint is planned in {material.name}."
    source = Source("joint's plan", clause=f"material {side}")
    return [
        found(
            case,
            "material-mismatch",
            told,
            source,
            measured=heat.material,
            limit=material.name,
            subject=heat.number,
        )
    ]


def _chemistry(heat: HeatFacts, units: str, edition: str, rounding: str) -> Verdict[tuple[Fault, ...]] | None:
    """The faults of a heat's certificate, or None where there are none or no table knows the material."""
    verdict = check(heat, units, edition or NEWER, rounding=rounding or ROUNDED) if heat.material else None
    return verdict if verdict and verdict.value else None


def _out_of_range(case: Case, side: str, heat: HeatFacts, verdict: Verdict[tuple[Fault, ...]]) -> Finding:
    faults = verdict.value
    told = f"Heat {heat.number} on side {side} is outside {heat.material}: {'; '.join(str(one) for one in faults)}."
    return found(
        case,
        "chemistry-out-of-range",
        told,
        verdict.source,
        measured="; ".join(one.measured for one in faults),
        limit="; ".join(one.limit for one in faults),
        subject=heat.number,
        steps=(*(one.step or f"{one.measured}, {one.limit}" for one in faults), *verdict.notes),
    )
