"""What an examination must show: legs and undercut against their limits, results still due, certified examiners."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import ROUND_FLOOR, Decimal
from operator import attrgetter

from rules.acceptance import FILLET_KINDS, service_of, undercut_limit, weld_of
from rules.again import again, why
from rules.case import Case, found
from rules.codes import SEVERITY
from rules.facts import ExaminationFacts, ExaminerFacts, JobFacts, JointFacts, People
from rules.fillet import flange_leg, socket_leg
from rules.finding import Finding, Requirement
from rules.limits import within
from rules.measurable import show_limit
from rules.pipe import UnknownSize, pipe
from rules.socket_fittings import fitting, socket_wall
from rules.source import Source, Verdict
from rules.specification import Bound, Owners, exam_rules, gap_called, governing, owners_of
from rules.tables import basis
from rules.units import LEAST, US, plain, show_length

LEG = ["least", ["field", "leg_a_mm"], ["field", "leg_b_mm"]]
ON_FILM = "gap-on-film"
_ALIKE_MM = Decimal("0.06")
ALL = Decimal(100)
_HUNDREDTH_MM, _THOUSANDTH_IN = Decimal("0.01"), Decimal("0.0254")


def requirements(joint: JointFacts, job: JobFacts) -> list[Requirement]:
    """The leg, the undercut and the gap after welding that examinations of this joint are held against."""
    owners = owners_of(joint, job)
    asked = [*_leg(joint, job, owners), *_undercut(joint, job, owners), *on_film(joint.kind, job.units, owners)]
    return asked


def _leg(joint: JointFacts, job: JobFacts, owners: Owners) -> list[Requirement]:
    leg = governing_leg(joint, job)
    if leg is None:
        return []
    is_computed = leg.source.state != "owner"
    return [within("leg", "leg-too-small", "examination", LEG, leg, None, "mm", "Leg", job.units, rounded=is_computed)]


def governing_leg(joint: JointFacts, job: JobFacts) -> Bound | None:
    """The smallest leg of this joint: the code's, the owner's, or the stricter of both; None where neither says one."""
    code = code_leg(joint, job)
    return governing(owners_of(joint, job), "leg min", code, job.units) if joint.kind in FILLET_KINDS else code


def code_leg(joint: JointFacts, job: JobFacts) -> Bound | None:
    """The smallest leg by the job's code, None where it says none."""
    verdict = required_leg(joint, job)
    if verdict is None:
        return None
    text = show_limit(verdict.value, LEAST, job.units)
    tables = (*verdict.source.tables, *wall_tables(joint), *_socket_tables(joint))
    source = replace(verdict.source, tables=tables)
    return Bound(verdict.value, source, (*verdict.steps, *verdict.notes), text)


def code_undercut(joint: JointFacts, job: JobFacts) -> Bound | None:
    """The deepest undercut by the acceptance table, None where it says none."""
    depth = allowed_undercut(joint, job)
    if depth is None or depth.value is None:
        return None
    text = show_length(_floor(depth.value, job.units), job.units)
    source = replace(depth.source, tables=(*depth.source.tables, *wall_tables(joint)))
    return Bound(depth.value, source, (*depth.steps, *depth.notes), text)


def _undercut(joint: JointFacts, job: JobFacts, owners: Owners) -> list[Requirement]:
    most = governing(owners, "undercut max", code_undercut(joint, job), job.units)
    if most is None:
        return []
    shown = most.value if most.source.state == "owner" else _floor(most.value, job.units)
    term = ["field", "undercut_mm"]
    return [
        within(
            "undercut", "undercut-too-deep", "examination", term, None, most, "mm", "Undercut", job.units,
            shown_greatest=shown,
        )
    ]  # fmt: skip


def on_film(kind: str, units: str, owners: Owners) -> list[Requirement]:
    """The gap after welding, read on the film: no code limits it, so it is asked only where the owner does."""
    least, greatest = (governing(owners, f"gap on film {end}", None, units) for end in ("min", "max"))
    if not least and not greatest:
        return []
    requirement = within(
        ON_FILM, "gap-out-of-range", "examination", ["field", "gap_on_film_mm"], least, greatest, "mm",
        f"{gap_called(kind).capitalize()} on film", units,
        steps=("no code limits the gap after welding",),
    )  # fmt: skip
    return [replace(requirement, args={**requirement.args, "remedy": "Remedy: cut out and weld anew."})]


def required_leg(joint: JointFacts, job: JobFacts) -> Verdict[Decimal] | None:
    """The smallest leg of a socket or slip-on weld by the job's code; None for other joints and other codes.

    The socket of a flange is welded like a slip-on's hub (ASME B31.3 Fig. 328.5.2B), not like that of a fitting.
    """
    code = job.construction_code.upper().removeprefix("ASME").strip()
    if code not in ("B31.3", "B31.1") or joint.kind not in ("socket", "slip-on"):
        return None
    wall = judged_wall(joint, job.units)
    if joint.kind == "slip-on" or joint.in_flange:
        return flange_leg(wall, code=code, units=job.units)
    if not joint.socket_class:
        return socket_leg(wall, code=code, units=job.units)
    try:
        socket = socket_wall(joint.nps, joint.socket_class, job.units)
    except UnknownSize as unknown:
        verdict = socket_leg(wall, code=code, units=job.units)
        return Verdict(verdict.value, verdict.steps, verdict.source, (f"{unknown} The pipe wall is taken to govern.",))
    return socket_leg(wall, socket, code=code, units=job.units)


def allowed_undercut(joint: JointFacts, job: JobFacts) -> Verdict[Decimal | None] | None:
    """The deepest undercut by the acceptance table; None for codes whose table is not here."""
    if job.construction_code.upper().removeprefix("ASME").strip() != "B31.3":
        return None
    service = service_of(joint.service, joint.severe_cyclic)
    return undercut_limit(service, weld_of(joint.kind), judged_wall(joint, job.units), job.units, job.edition)


def judged_wall(joint: JointFacts, units: str) -> Decimal:
    """The pipe wall in mm by the figure of the job's unit system; the joint's own where no table has the schedule."""
    if units != US or not joint.schedule:
        return joint.wall_mm
    try:
        listed_pipe = pipe(joint.nps, joint.schedule)
    except UnknownSize:
        return joint.wall_mm
    inch_wall = listed_pipe.wall(US)
    return inch_wall if abs(inch_wall - joint.wall_mm) <= _ALIKE_MM else joint.wall_mm


def wall_tables(joint: JointFacts) -> tuple[tuple[str, str], ...]:
    """The row of the pipe table that the joint's wall comes from; none where no table has the schedule."""
    try:
        return pipe(joint.nps, joint.schedule).source.tables if joint.schedule else ()
    except UnknownSize:
        return ()


def _socket_tables(joint: JointFacts) -> tuple[tuple[str, str], ...]:
    if joint.kind != "socket" or joint.in_flange or not joint.socket_class:
        return ()
    try:
        return (basis("socket_fittings", fitting(joint.nps, joint.socket_class)),)
    except UnknownSize:
        return ()


def due(case: Case) -> list[Finding]:
    """One finding for each method without a result that the plan asks of every such joint, or a repair brings back."""
    findings = []
    brought_back = again(case.joint, case.derived.attempts)
    for method in case.derived.due:
        # A plan may ask a method of some at one stage and of all at another: only the latter makes it due.
        rules = [one for one in exam_rules(case.joint, case.owners) if one.method == method]
        rule = max(rules, key=attrgetter("share_percent"), default=None)
        is_picked = any(one == method for one, _ in case.joint.picked)
        if rule is None or (method in brought_back and rule.share_percent < ALL and not is_picked):
            reason, source = why(brought_back[method])
            told = f"{method} of this {case.joint.kind} weld is due: {reason}."
            findings.append(found(case, "examination-due", told, source, measured="none", limit=method, subject=method))
            continue
        who = rule.asked_by or f"the plan {rule.plan}"
        asked = (
            f"{who} asks for it on every one" if rule.share_percent >= ALL else f"it was picked for the share of {who}"
        )
        told = f"{method} of this {case.joint.kind} weld is due: {asked}."
        source = Source(rule.asked_by or f"exam plan {rule.plan}", clause=f"{method} {plain(rule.share_percent)} %")
        findings.append(found(case, "examination-due", told, source, measured="none", limit=method, subject=method))
    return findings


def rejected(case: Case) -> list[Finding]:
    """Rejects on the current attempt: a decision to repair or cut out would have opened another."""
    findings = []
    for one in case.examinations:
        if one.result != "rejected":
            continue
        seen = f" ({'; '.join(one.indications.splitlines())})" if one.indications else ""
        told = f"{one.method} of {one.done_on} by {one.by} rejected the weld{seen}, and no repair is decided."
        source = Source(f"{one.method} report {one.report}".rstrip())
        findings.append(
            found(
                case,
                "examination-rejected",
                told,
                source,
                record=one.id,
                measured="rejected",
                limit="accepted",
                subject=one.method,
            )
        )
    return findings


def certified(people: People) -> Requirement:
    """Who may examine by which method until when, as `name|method`."""
    bounds = {
        f"{name}|{method}": {"until": examiner.valid_until, "why": ""}
        for (name, method), examiner in people.examiners.items()
    }
    return _certified(bounds)


def uncertified(case: Case, people: People) -> list[Finding]:
    """Examinations of the current attempt by someone not certified for the method on that day."""
    findings = []
    for one in case.examinations:
        examiner = people.examiners.get((one.by, one.method))
        if examiner is None or (examiner.valid_until is not None and one.done_on > examiner.valid_until):
            findings += _uncertified(case, one, examiner)
    return findings


def _uncertified(case: Case, one: ExaminationFacts, examiner: ExaminerFacts | None) -> list[Finding]:
    until = examiner.valid_until if examiner else None
    if not one.by:
        told, measured, limit = f"The {one.method} of {one.done_on} names no examiner.", "", "a certified examiner"
    elif examiner is None:
        told = f"{one.by} examined by {one.method} on {one.done_on} and has no certification for it."
        measured, limit = "none", f"certified for {one.method}"
    else:
        told = f"{one.by} examined by {one.method} on {one.done_on}, and the certification ended on {until}."
        measured, limit = str(one.done_on), str(until)
    source = Source("ASME B31.3", "", "342", "memory")
    return [
        found(
            case,
            "examiner-not-certified",
            told,
            source,
            attempt=one.attempt,
            record=one.id,
            measured=measured,
            limit=limit,
            subject=one.by or one.method,
        )
    ]


def _certified(bounds: Mapping[str, Mapping[str, object]]) -> Requirement:
    return Requirement(
        id="examiner",
        code="examiner-not-certified",
        record="examination",
        test="allowed_until",
        bounds=bounds,
        source=Source("ASME B31.3", "", "342", "memory"),
        term=["join", "|", ["field", "by"], ["field", "method"]],
        severity=SEVERITY["examiner-not-certified"],
        text_id="examiner",
        args={"label": "Examiner", "subject": ""},
    )


def _floor(mm: Decimal, units: str) -> Decimal:
    """A greatest depth as it is shown: down to 0.01 mm or 0.001 in, unless a tape shows it exactly."""
    if units == US and mm % (Decimal("25.4") / 64) == 0:
        return mm
    step = _THOUSANDTH_IN if units == US else _HUNDREDTH_MM
    return (mm / step).to_integral_value(ROUND_FLOOR) * step
