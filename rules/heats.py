"""The pieces of a fitted joint: a heat on each side, its certificate, its material and its chemistry."""

from rules.case import Case, found
from rules.certificate import Fault, check
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
    joint, fit_up, units = case.joint, case.fit_up, case.job.units
    reads = (fit_up.heat_a_read, fit_up.heat_b_read) if fit_up else ("", "")
    found_here: list[Finding] = []
    sides = (("A", joint.heat_a, joint.material_a, reads[0]), ("B", joint.heat_b, joint.material_b, reads[1]))
    others = replaced_sides(joint)
    for side, heat, material, read in sides:
        if side in others:
            heat, read = _of_another_piece(case, side, heat, others[side])
        if heat is None:
            if not read:
                found_here.append(_missing(case, side))
            continue
        if not heat.certificate:
            found_here.append(_no_certificate(case, side, heat))
        if material and heat.material and material.name != heat.material:
            found_here += _other_material(case, side, heat, material)
        if faults := _checked.get(heat, units, _chemistry, heat, units):
            found_here.append(_out_of_range(case, side, heat, faults))
    return found_here


def _of_another_piece(
    case: Case, side: str, planned: HeatFacts | None, replaced: Replaced
) -> tuple[HeatFacts | None, str]:
    """The heat of a side that a cut-out may have replaced, as read at a fit-up since; the planned one if none was."""
    read, heat = read_since(case.joint, case.derived.attempts, side, replaced.since)
    return (heat, read) if read or replaced.is_sure else (planned, read)


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


def _chemistry(heat: HeatFacts, units: str) -> Verdict[tuple[Fault, ...]] | None:
    """The faults of a heat's certificate, or None where there are none or no table knows the material."""
    verdict = check(heat, units) if heat.material else None
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
