"""The people at a joint: whether those who tacked and welded it could, and who may weld it next."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import NamedTuple

from rules.case import Case, found
from rules.codes import SEVERITY
from rules.continuity import base_process
from rules.deposits import NOT_RECORDED
from rules.facts import JobFacts, JointFacts, PassFacts, People, ProcedureFacts, WelderFacts
from rules.finding import Finding, Requirement
from rules.source import Source
from rules.welder import Answer, Need, may_weld, need_of

Needs = Sequence[Need | None]
_CODE = Source("ASME BPVC Section IX", "", "QW-301", "memory")


class WhoMayWeld(NamedTuple):
    """One welder's answer for a joint.

    ok         may make every pass of at least one process of the procedure
    reasons    what stands against it, process by process; not empty beside `ok` where another process is not covered
    lapses_on  the first day on which a process that is ok lapses
    """

    welder: WelderFacts
    ok: bool
    reasons: tuple[str, ...]
    lapses_on: date | None


def findings(case: Case, people: People, needs: Needs) -> list[Finding]:
    """The person behind each pass on the day.

    needs    of the passes, as `needs` has them
    """
    found_here: list[Finding] = []
    asked, who, day, answer = None, "", None, None
    for one, need in zip(case.passes, needs, strict=True):
        stamp, on = one.stamp, one.done_on
        if need is None or not stamp:
            continue
        # Passes in a row mostly ask the same of the same person on the same day.
        if answer is None or need is not asked or stamp != who or on != day:
            asked, who, day = need, stamp, on
            answer = may_weld(people.welders.get(stamp), need, on, stamp=stamp, is_use=True)
        if not answer.may:
            found_here.append(_of_pass(case, one, answer))
    return found_here


def needs(case: Case, *, alone: bool) -> Needs:
    """What each pass asks of its welder, who makes the whole weld alone or beside others; None without a procedure."""
    one_process = made_by_one_process(case)
    return tuple(
        need_of(
            case.joint,
            procedure,
            case.job.units,
            role=one.role,
            process=one.process,
            position=one.position,
            filler=one.filler_classification,
            alone=alone,
            one_process=one_process,
            edition=case.job.welders_edition,
        )
        if (procedure := one.procedure or case.joint.procedure)
        else None
        for one in case.passes
    )


def made_by_one_person(case: Case) -> bool:
    """Whether all passes have one stamp."""
    return len({one.stamp for one in case.passes}) < 2


def made_by_one_process(case: Case) -> bool | None:
    """Whether one process made the whole weld, as its passes tell from root to cap; None where they do not tell.

    Of a weld by several processes the deposit of each is not known, as no pass records its thickness.
    """
    if len({base_process(one.process) for one in case.passes}) > 1:
        return False
    told = case.base_welded and case.job.recording != "joint" and {"root", "cap"} <= {one.role for one in case.passes}
    return True if told else None


def tacker(case: Case, people: People, need: Need | None) -> list[Finding]:
    """The person who tacked, held to the root of the procedure.

    need    what tacking asks, as `tack_need` has it
    """
    fit_up = case.fit_up
    if fit_up is None or not fit_up.tack_stamp or need is None:
        return []
    stamp = fit_up.tack_stamp
    answer = may_weld(people.welders.get(stamp), need, fit_up.done_on, stamp=stamp, is_use=True)
    if answer.may:
        return []
    told = f"{stamp} tacked on {fit_up.done_on} and is not qualified for the root: {_joined(answer.reasons)}"
    return [
        found(
            case,
            "tacker-not-qualified",
            told,
            answer.source,
            attempt=fit_up.attempt,
            record=fit_up.id,
            measured=answer.measured,
            limit=answer.limit,
            subject=stamp,
            steps=answer.reasons,
        )
    ]


def tack_need(case: Case) -> Need | None:
    """What tacking this joint asks; None where no procedure says by which process."""
    procedure = case.joint.procedure
    return root_need(case.joint, procedure, case.job) if procedure and procedure.processes else None


def root_need(joint: JointFacts, procedure: ProcedureFacts, job: JobFacts) -> Need:
    """What tacking asks: the root's process and filler. One who tacks does not deposit the wall.

    Where the job names an edition that relieves tacks of the diameter limits, they are taken as within its share of
    the circumference, as their length is not recorded.
    """
    root = next((row for row in procedure.passes if row.role == "root"), None)
    process = root.process if root else procedure.processes[0]
    edition = job.welders_edition
    return need_of(joint, procedure, job.units, role="root", process=process, alone=False, edition=edition, tack=True)


def requirements(joint: JointFacts, job: JobFacts, people: People) -> list[Requirement]:
    """Who may tack and who may weld each pass, until when, and why the others may not."""
    procedure = joint.procedure
    if procedure is None or not procedure.processes:
        return []
    asked = [
        _allowed(
            "tack-stamp",
            "tacker-not-qualified",
            "fit-up",
            "tack_stamp",
            {},
            root_need(joint, procedure, job),
            job,
            people,
        )
    ]
    for role, process in rows_of(procedure):
        need = need_of(joint, procedure, job.units, role=role, process=process, edition=job.welders_edition)
        when = {"process": process} | ({"pass": role} if role else {})
        name = f"stamp:{role or 'any'}:{process}"
        asked.append(_allowed(name, "welder-not-qualified", "pass", "stamp", when, need, job, people))
    return asked


def who_may_weld(joint: JointFacts, job: JobFacts, welders: Iterable[WelderFacts]) -> list[WhoMayWeld]:
    """Each welder's answer for this joint on the day of the job's facts, those who may first, then by stamp."""
    answers = [_answer(joint, job, welder) for welder in welders]
    return sorted(answers, key=lambda one: (not one.ok, one.welder.stamp))


def rows_of(procedure: ProcedureFacts) -> list[tuple[str, str]]:
    """The roles and processes of a procedure's pass table; with none, each process without a role."""
    rows = [(row.role, row.process) for row in procedure.passes]
    return list(dict.fromkeys(rows)) or [("", process) for process in procedure.processes]


def _answer(joint: JointFacts, job: JobFacts, welder: WelderFacts) -> WhoMayWeld:
    procedure = joint.procedure
    if procedure is None:
        return WhoMayWeld(
            welder, False, ("The joint names no procedure, and its welder cannot be judged without one.",), None
        )
    by_process: dict[str, list[tuple[str, Answer]]] = {}
    for role, process in rows_of(procedure):
        need = need_of(joint, procedure, job.units, role=role, process=process, edition=job.welders_edition)
        answer = may_weld(welder, need, job.as_of, stamp=welder.stamp, is_use=False)
        by_process.setdefault(base_process(process), []).append((role, answer))
    good = [answers for answers in by_process.values() if all(answer.may for _, answer in answers)]
    days = [answer.lapses_on for answers in good for _, answer in answers if answer.lapses_on]
    reasons = [
        reason for process, answers in by_process.items() for reason in _reasons(process, answers, len(by_process) > 1)
    ]
    return WhoMayWeld(welder, bool(good), tuple(dict.fromkeys(reasons)), min(days, default=None))


def _reasons(process: str, answers: Sequence[tuple[str, Answer]], several: bool) -> list[str]:
    """The reasons against one process, the roles named where only some are refused."""
    refused = [(role, answer) for role, answer in answers if not answer.may]
    partly = 0 < len(refused) < len(answers)
    told = []
    for role, answer in refused:
        where = [part for part in (process if several else "", role if partly else "") if part]
        prefix = f"{' '.join(where)}: " if where else ""
        told += [f"{prefix}{reason}" for reason in answer.reasons]
    return told


def _of_pass(case: Case, one: PassFacts, answer: Answer) -> Finding:
    verdict = {
        "welder-not-qualified": "is not qualified",
        "qualification-lapsed": "was not qualified on the day",
        "stamp-suspended": "was suspended",
    }[answer.code]
    if answer.source.code.startswith("stamp register"):
        verdict = "was not in force"
    return found(
        case,
        answer.code,
        f"{one.stamp} {verdict} for pass {one.order} ({one.role}, {one.process}): {_joined(answer.reasons)}",
        answer.source,
        attempt=one.attempt,
        record=one.id,
        measured=answer.measured,
        limit=answer.limit,
        subject=one.stamp,
        steps=answer.reasons,
    )


def _joined(reasons: Sequence[str]) -> str:
    """The first reason, which is that of the nearest test, and how many more there are: they stand in the steps."""
    more = len(reasons) - 1
    return f"{reasons[0]} ({more} more reason{'s' if more > 1 else ''}.)" if more else reasons[0]


def _allowed(
    name: str,
    code: str,
    record: str,
    field: str,
    when: dict[str, str],
    need: Need,
    job: JobFacts,
    people: People,
) -> Requirement:
    """The stamps that may, until the last day on which a use would keep them alive, and why the others may not."""
    bounds = {}
    for stamp, welder in people.welders.items():
        answer = may_weld(welder, need, job.as_of, stamp=stamp, is_use=True)
        bounds[stamp] = {"until": answer.lapses_on, "why": "" if answer.may else " ".join(answer.reasons)}
    return Requirement(
        id=name,
        code=code,
        record=record,
        test="allowed_until",
        bounds=bounds,
        source=_CODE,
        term=["field", field],
        when=when,
        severity=SEVERITY[code],
        text_id="stamp",
        args={"label": "Stamp", "subject": "", "otherwise": "This stamp is not registered."},
        steps=(NOT_RECORDED,) if record == "pass" and not need.fillet and need.deposit_mm is None else (),
        valid_until=job.as_of,
    )
