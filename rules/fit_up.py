"""What a fit-up must show: the gap, squareness from four readings, and high-low, within the procedure."""

from decimal import Decimal
from typing import Any

from rules.case import Case, found
from rules.compare import departs
from rules.facts import FitUpFacts, HeatFacts, JobFacts, JointFacts, ProcedureFacts
from rules.finding import NOTE, Finding, Requirement
from rules.limits import between
from rules.source import Source
from rules.units import US

_LEAST, _GREATEST = ["least", ["each", "gaps_mm"]], ["greatest", ["each", "gaps_mm"]]
# "With four readings the gap is the least": a gap that was typed stands, else the least reading.
LEAST_GAP = ["first", ["field", "gap_mm"], _LEAST]
GREATEST_GAP = _GREATEST
SQUARENESS = ["first", ["field", "squareness_mm"], ["minus", _GREATEST, _LEAST]]
GROOVES = frozenset({"butt", "branch", "olet"})


def requirements(joint: JointFacts, job: JobFacts) -> list[Requirement]:
    """The limits that the procedure sets on the fit-up of this joint; without one, the code's figure as a note."""
    return limits(joint.kind, joint.procedure, job.units)


def limits(kind: str, procedure: ProcedureFacts | None, units: str) -> list[Requirement]:
    """The fit-up limits for a kind of joint under a procedure."""
    asked: list[Requirement] = []
    source = wps(procedure)
    label = "Root opening" if kind in GROOVES else "Gap"
    least, greatest = (procedure.gap_min_mm, procedure.gap_max_mm) if procedure else (None, None)
    if least is not None or greatest is not None:
        asked.append(_of_fit_up("gap", "gap-out-of-range", LEAST_GAP, least, greatest, source, label, units, procedure))
    if greatest is not None:
        most, widest = greatest, f"Greatest {label.lower()}"
        asked.append(
            _of_fit_up("gap:greatest", "gap-out-of-range", GREATEST_GAP, None, most, source, widest, units, procedure)
        )
    if least is None and greatest is None and kind == "socket":
        asked.append(codes_gap(units))
    if procedure and procedure.squareness_max_mm is not None:
        most = procedure.squareness_max_mm
        asked.append(
            _of_fit_up(
                "squareness",
                "squareness-out-of-range",
                SQUARENESS,
                None,
                most,
                source,
                "Squareness",
                units,
                procedure,
            )
        )
    if procedure and procedure.high_low_max_mm is not None:
        most = procedure.high_low_max_mm
        term = ["field", "high_low_mm"]
        asked.append(
            _of_fit_up("high-low", "high-low-out-of-range", term, None, most, source, "High-low", units, procedure)
        )
    return asked


def codes_gap(units: str) -> Requirement:
    """The code's own figure for a socket gap, to know: it is approximate, and nothing is judged by it."""
    figure = "about 1/16 in" if units == US else "about 1.5 mm"
    return Requirement(
        id="gap",
        code="gap-out-of-range",
        record="fit-up",
        test="range",
        bounds=[None, None],
        source=Source("ASME B31.3", "", "Fig. 328.5.2C", "checked"),
        term=LEAST_GAP,
        unit="mm",
        severity=NOTE,
        text_id="range",
        args={"label": "Gap", "unit": "in" if units == US else "mm", "figure": figure, "subject": ""},
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
    first = next((one for one in case.passes if one.attempt == base), None)
    if first is None or (case.fit_up and case.fit_up.attempt == base):
        return []
    told = (
        f"Pass {first.order} was welded on {first.done_on} by {first.stamp or 'nobody named'} with no fit-up recorded."
    )
    source = Source("common practice", state="practice")
    return [
        found(case, "fit-up-missing", told, source, attempt=base, record=first.id, measured="none", limit="a fit-up")
    ]


def identity(case: Case, fit_up: FitUpFacts) -> list[Finding]:
    """Heat numbers read off the pieces, and the revision worked from, against the plan."""
    joint = case.joint
    findings: list[Finding] = []
    for side, heat, read in (("a", joint.heat_a, fit_up.heat_a_read), ("b", joint.heat_b, fit_up.heat_b_read)):
        if read and heat and read != heat.number and departs(heat_read(side, heat), fit_up):
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


def _of_fit_up(
    id: str,
    code: str,
    term: Any,
    least: Decimal | None,
    greatest: Decimal | None,
    source: Source,
    label: str,
    units: str,
    procedure: ProcedureFacts | None,
    steps: tuple[str, ...] = (),
) -> Requirement:
    subject = procedure.number if procedure else ""
    return between(id, code, "fit-up", term, least, greatest, "mm", source, label, units, steps=steps, subject=subject)
