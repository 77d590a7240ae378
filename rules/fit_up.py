"""What a fit-up must show: gap, squareness from four readings and high-low, within procedure and specification."""

from decimal import Decimal
from functools import lru_cache
from typing import Any

from rules.case import Case, found
from rules.compare import departs
from rules.facts import FitUpFacts, HeatFacts, JobFacts, JointFacts, ProcedureFacts
from rules.finding import NOTE, Finding, Requirement
from rules.gap import GapFigure, code_gap, shown
from rules.limits import within
from rules.reweld import replaced_sides
from rules.source import Source
from rules.specification import Bound, Owners, gap_called, governing, owners_of
from rules.units import show_length, unit_shown

_LEAST, _GREATEST = ["least", ["each", "gaps_mm"]], ["greatest", ["each", "gaps_mm"]]
# "With four readings the gap is the least": a gap that was typed stands, else the least reading.
LEAST_GAP = ["first", ["field", "gap_mm"], _LEAST]
GREATEST_GAP = _GREATEST
SQUARENESS = ["first", ["field", "squareness_mm"], ["minus", _GREATEST, _LEAST]]

_GAP = "gap-out-of-range"
_CODES = frozenset({"B31.3", "B31.1"})
_OTHERS: tuple[tuple[str, str, str, str, Any, str], ...] = (
    ("squareness", "squareness-out-of-range", "squareness max", "squareness_max_mm", SQUARENESS, "Squareness"),
    ("high-low", "high-low-out-of-range", "high-low max", "high_low_max_mm", ["field", "high_low_mm"], "High-low"),
)


def requirements(joint: JointFacts, job: JobFacts) -> list[Requirement]:
    """The limits that procedure and owner set on the fit-up of this joint; with neither, the code's gap as a note."""
    procedure, owners = joint.procedure, owners_of(joint, job)
    subject = procedure.number if procedure else ""
    asked = _gap(joint, job, owners)
    for id, code, name, field, term, label in _OTHERS:
        most = governing(owners, name, of_wps(procedure, field), job.units)
        if most:
            asked.append(within(id, code, "fit-up", term, None, most, "mm", label, job.units, subject=subject))
    return asked


def _gap(joint: JointFacts, job: JobFacts, owners: Owners) -> list[Requirement]:
    """The gap before welding: its least and greatest, and the greatest again for the widest of several readings."""
    procedure, units = joint.procedure, job.units
    least = governing(owners, "gap min", of_wps(procedure, "gap_min_mm"), units)
    greatest = governing(owners, "gap max", of_wps(procedure, "gap_max_mm"), units)
    if not least and not greatest:
        code = codes_gap(joint, job)
        return [code] if code else []
    label = gap_called(joint.kind).capitalize()
    steps, subject = _beside_the_code(joint, job, owners), procedure.number if procedure else ""
    asked = [
        within(
            "gap", _GAP, "fit-up", LEAST_GAP, least, greatest, "mm", label, units, steps=steps, subject=subject
        )
    ]  # fmt: skip
    if greatest:
        label = f"Greatest {label.lower()}"
        asked.append(
            within(
                "gap:greatest", _GAP, "fit-up", GREATEST_GAP, None, greatest, "mm", label, units, steps=steps,
                subject=subject,
            )
        )  # fmt: skip
    return asked


def _beside_the_code(joint: JointFacts, job: JobFacts, owners: Owners) -> tuple[str, ...]:
    """The code's approximate figure and the owner's, side by side, where the owner limits a socket's gap."""
    rows = [owners.limits[name] for name in ("gap min", "gap max") if name in owners.limits]
    code = codes_figure(joint, job) if rows else None
    if code is None:
        return ()
    words = {"gap min": "at least", "gap max": "at most"}
    owner = ", ".join(f"{words[row.limit]} {show_length(row.value, job.units)}" for row in rows)
    return (f"gap before welding, code: {shown(code, job.units)}; owner: {owner}",)


def of_wps(procedure: ProcedureFacts | None, field: str) -> Bound | None:
    """The bound that a field of the procedure sets, None where it sets none."""
    value = getattr(procedure, field, None)
    return None if value is None else Bound(Decimal(value), wps(procedure))


def codes_figure(joint: JointFacts, job: JobFacts) -> GapFigure | None:
    """The figure for a socket's gap before welding by the job's code; None for other joints and other codes."""
    code = job.construction_code.upper().removeprefix("ASME").strip()
    if joint.kind != "socket" or code not in _CODES:
        return None
    return code_gap(code, "fitting", job.units)


def codes_gap(joint: JointFacts, job: JobFacts) -> Requirement | None:
    """The code's own figure for a socket gap, to know: it is approximate, and nothing is judged by it."""
    code = codes_figure(joint, job)
    if code is None:
        return None
    figure = shown(code, job.units)
    return Requirement(
        id="gap",
        code=_GAP,
        record="fit-up",
        test="range",
        bounds=[None, None],
        source=code.source,
        term=LEAST_GAP,
        unit="mm",
        severity=NOTE,
        text_id="range",
        args={"label": "Gap", "unit": unit_shown("mm", job.units), "figure": figure, "subject": ""},
        steps=(f"the procedure sets no limit; the code's figure before welding is {figure}",),
    )


def squareness(readings: dict[str, Decimal]) -> Decimal | None:
    """Squareness in mm from gaps round the pipe: the greatest minus the least; None with fewer than two readings."""
    return max(readings.values()) - min(readings.values()) if len(readings) > 1 else None


def heat_read(side: str, heat: HeatFacts) -> Requirement:
    """That the heat number read off the piece is the one the joint is planned with."""
    return Requirement(
        id=f"heat-{side}",
        code="heat-mismatch",
        record="fit-up",
        test="one_of",
        bounds=[heat.number],
        source=Source("joint's plan", clause=f"heat {side.upper()}"),
        term=["field", f"heat_{side}_read"],
        severity="correct",
        text_id="heat",
        args={"label": f"Heat {side.upper()}", "subject": heat.number},
    )


@lru_cache(maxsize=4096)
def revision(current: str) -> Requirement:
    """That the fit-up was made from the sheet's current revision."""
    return Requirement(
        id="revision",
        code="superseded-revision",
        record="fit-up",
        test="one_of",
        bounds=[current],
        source=Source("drawing", clause=f"revision {current}"),
        term=["field", "revision"],
        severity="correct",
        text_id="revision",
        args={"label": "Drawing revision", "subject": ""},
    )


def missing(case: Case) -> list[Finding]:
    """Welding without a recorded fit-up: on the original, or on a re-weld after a cut-out."""
    base = case.live[0]
    if case.fit_up and case.fit_up.attempt == base:
        return []
    first = next((one for one in case.passes if one.attempt == base), None)
    if first is None:
        return []
    told = (
        f"Pass {first.order} was welded on {first.done_on} by {first.stamp or 'nobody named'} with no fit-up recorded."
    )
    source = Source("common practice", state="practice")
    return [
        found(case, "fit-up-missing", told, source, attempt=base, record=first.id, measured="none", limit="a fit-up")
    ]


def identity(case: Case, fit_up: FitUpFacts) -> list[Finding]:
    """Heat numbers read off the planned pieces, and the revision worked from, against the plan."""
    joint = case.joint
    findings: list[Finding] = []
    others = replaced_sides(joint)
    sides = (
        ("a", joint.heat_a, fit_up.heat_a_read, fit_up.heat_a),
        ("b", joint.heat_b, fit_up.heat_b_read, fit_up.heat_b),
    )
    for side, heat, read, known in sides:
        if others and side.upper() in others:
            continue
        if not read or not heat or read == heat.number:
            continue
        # Of two heats whose numbers differ in case or spaces alone, the one that was read is the one that was meant.
        is_another = known is not None and known.number == read
        if is_another or departs(heat_read(side, heat), fit_up):
            told = (
                f"Heat {read} was read off side {side.upper()} at fit-up; the joint is planned with heat {heat.number}."
            )
            findings.append(_plan(case, heat_read(side, heat), told, fit_up, read, heat.number, heat.number))
    drawn = joint.revision
    if fit_up.revision and drawn and fit_up.revision != drawn and departs(revision(drawn), fit_up):
        told = f"The fit-up was made from revision {fit_up.revision} of the drawing, and revision {drawn} is current."
        findings.append(_plan(case, revision(drawn), told, fit_up, fit_up.revision, drawn, ""))
    return findings


def _plan(
    case: Case, asked: Requirement, told: str, fit_up: FitUpFacts, measured: str, limit: str, subject: str
) -> Finding:
    return found(
        case,
        asked.code,
        told,
        asked.source,
        attempt=fit_up.attempt,
        record=fit_up.id,
        measured=measured,
        limit=limit,
        subject=subject,
    )


def wps(procedure: ProcedureFacts | None) -> Source:
    """The procedure as the source of a limit: `WPS W-11`."""
    return Source(f"WPS {procedure.number}" if procedure else "WPS")
