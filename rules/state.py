"""The state of a joint, derived from its records whatever order they arrived in."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from operator import attrgetter

from rules.attempts import is_repair, live, sequence
from rules.coverage import is_all_round
from rules.facts import ExaminationFacts, ExamRuleFacts, FitUpFacts, JobFacts, JointFacts, PassFacts, ReleaseFacts
from rules.finding import Derived
from rules.specification import Owners, exam_rules, owners_of

PLANNED, FITTED, IN_PROGRESS, WELDED = "planned", "fitted", "in progress", "welded"
REJECTED, ACCEPTED, RELEASED, WITHDRAWN = "rejected", "accepted", "released", "withdrawn"
STATES = (PLANNED, FITTED, IN_PROGRESS, WELDED, REJECTED, ACCEPTED, RELEASED, WITHDRAWN)

_ALL = Decimal(100)
_DONE, _NOTHING = Decimal(1), Decimal(0)
_LEAST_PASSES = 2
_RESULT, _STAGE, _DAY = attrgetter("result"), attrgetter("stage"), attrgetter("done_on")


def derive(joint: JointFacts, job: JobFacts, owners: Owners | None = None) -> Derived:
    """The state, the current attempt, the next step and what is still to be examined.

    The state is that of the current attempt, first match: withdrawn; rejected (a reject not earlier than its release);
    released; accepted (every examination required of each joint accepted, and at least one); welded (a cap pass or a
    final examination); in progress; fitted; planned.

    owners    the owner's limits on this joint, where the caller has them already
    """
    attempts = sequence(joint)
    attempt = attempts[-1]
    passes, examinations, releases = joint.passes, joint.examinations, joint.releases
    if len(attempts) > 1:
        passes = [one for one in passes if one.attempt == attempt]
        examinations = [one for one in examinations if one.attempt == attempt]
        releases = [one for one in releases if one.attempt == attempt]
    welded = is_welded(passes, examinations)
    due: tuple[str, ...] = ()
    if welded and not joint.withdrawn:
        rules = exam_rules(joint, owners_of(joint, job) if owners is None else owners)
        due = due_methods(rules, examinations, joint.picked)
    accepted_on = _accepted_on(examinations, due) if welded else None
    state = _state(joint, attempt, passes, examinations, releases, welded, accepted_on)
    return Derived(
        state=state,
        attempt=attempt,
        attempts=attempts,
        next_step=_next_step(state, attempt, due, examinations),
        progress=_progress(joint, passes, welded),
        due=due,
        welded_on=_welded_on(passes, examinations) if welded else None,
        accepted_on=accepted_on if state in (ACCEPTED, RELEASED) else None,
        released_on=releases[-1].done_on if state == RELEASED else None,
    )


def is_welded(passes: Sequence[PassFacts], examinations: Sequence[ExaminationFacts]) -> bool:
    """Whether the weld is complete: each cap pass closes the circle, as far as is said, or it was examined as final."""
    caps = [one for one in passes if one.role == "cap"]
    if caps and (caps[0].start_degrees is None or _is_capped(caps)):
        return True
    return any(map(is_final, map(_STAGE, examinations)))


def _is_capped(caps: Sequence[PassFacts]) -> bool:
    """Whether every pass of a cap is all round; where one segment says nothing of its place, the cap is taken to be."""
    for one in caps:
        if one.start_degrees is None or one.stop_degrees is None:
            return True
    if len(caps) == 1:
        return is_all_round(caps)
    orders = {one.order for one in caps}
    return all(is_all_round([one for one in caps if one.order == order]) for order in orders)


FINAL_STAGES = ("", "final")


def is_final(stage: str) -> bool:
    """Whether an examination looks at the finished weld; a record that names no stage does."""
    return stage in FINAL_STAGES


def due_methods(
    rules: Sequence[ExamRuleFacts],
    examinations: Sequence[ExaminationFacts],
    picked: frozenset[tuple[str, str]] = frozenset(),
) -> tuple[str, ...]:
    """Methods asked of each joint, or of this one by a pick, without a result; a film to repeat is still due."""
    if not rules:
        return ()
    done = {(one.method, _stage(one.stage)) for one in examinations if one.result in (ACCEPTED, REJECTED)}
    due = [
        rule.method
        for rule in rules
        if (rule.share_percent >= _ALL or (rule.method, _stage(rule.stage)) in picked)
        and (rule.method, _stage(rule.stage)) not in done
    ]
    return tuple(dict.fromkeys(due))


def fit_up_of(joint: JointFacts, attempts: Sequence[str]) -> FitUpFacts | None:
    """The fit-up that the joint stands on: the latest of its live attempts."""
    fit_ups = joint.fit_ups
    if not fit_ups:
        return None
    if len(attempts) == 1:
        return fit_ups[-1] if len(fit_ups) == 1 or fit_ups[-1].attempt == attempts[0] else None
    current = live(attempts)
    return next((one for one in reversed(fit_ups) if one.attempt in current), None)


def _stage(stage: str) -> str:
    return "final" if is_final(stage) else stage


def _state(
    joint: JointFacts,
    attempt: str,
    passes: Sequence[PassFacts],
    examinations: Sequence[ExaminationFacts],
    releases: Sequence[ReleaseFacts],
    welded: bool,
    accepted_on: date | None,
) -> str:
    if joint.withdrawn:
        return WITHDRAWN
    rejects = [one for one in examinations if one.result == REJECTED]
    if rejects and (not releases or any(not _earlier(one, releases[-1]) for one in rejects)):
        return REJECTED
    if releases:
        return RELEASED
    if accepted_on:
        return ACCEPTED
    if welded:
        return WELDED
    if passes:
        return IN_PROGRESS
    return FITTED if any(one.attempt == attempt for one in joint.fit_ups) else PLANNED


def _earlier(examination: ExaminationFacts, release: ReleaseFacts) -> bool:
    """Whether the examination was before the release, by the time of day where both have one."""
    if examination.done_at and release.done_at:
        return examination.done_at < release.done_at
    return examination.done_on < release.done_on


def _accepted_on(examinations: Sequence[ExaminationFacts], due: Sequence[str]) -> date | None:
    """The day of the last acceptance if nothing is due or rejected and a final examination is accepted."""
    accepted = [one for one in examinations if one.result == ACCEPTED]
    if due or not accepted or REJECTED in map(_RESULT, examinations):
        return None
    return max(map(_DAY, accepted)) if any(map(is_final, map(_STAGE, accepted))) else None


def _welded_on(passes: Sequence[PassFacts], examinations: Sequence[ExaminationFacts]) -> date:
    caps = [one.done_on for one in passes if one.role == "cap"]
    return max(caps) if caps else min(one.done_on for one in examinations if is_final(one.stage))


def _progress(joint: JointFacts, passes: Sequence[PassFacts], welded: bool) -> Decimal:
    """The share of the passes welded: those the procedure asks for at least, or those of its table, else two."""
    if welded:
        return _DONE
    if not passes:
        return _NOTHING
    procedure = joint.procedure
    total = max(_LEAST_PASSES, (procedure.passes_min or len(procedure.passes)) if procedure else 0)
    made = len({one.order for one in passes})
    return (Decimal(min(made, total - 1)) / total).quantize(Decimal("0.01"))


def _next_step(state: str, attempt: str, due: Sequence[str], examinations: Sequence[ExaminationFacts]) -> str:
    if state == PLANNED:
        return "weld" if is_repair(attempt) else "fit up"
    if state in (FITTED, IN_PROGRESS):
        return "weld"
    if state == REJECTED:
        return "decide repair"
    if state == ACCEPTED:
        return "release"
    if state == WELDED:
        shot = [one.method for one in examinations if one.result == "re-shoot"]
        return f"examine {due[0] if due else shot[-1] if shot else 'VT'}"
    return "nothing"
