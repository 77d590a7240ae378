"""The state of a joint, derived from its records whatever order they arrived in."""

from collections.abc import Sequence, Set
from datetime import date
from decimal import Decimal
from operator import attrgetter
from typing import NamedTuple

from rules.again import FINAL_STAGES, again
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
_DAY = attrgetter("done_on")


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
    looks = _looks(examinations)
    welded_on = _welded_on(passes, looks)
    due: tuple[str, ...] = ()
    if welded_on and not joint.withdrawn:
        rules = exam_rules(joint, owners_of(joint, job) if owners is None else owners)
        due = due_methods(rules, looks.done, joint.picked)
        if len(attempts) > 1:
            anew = (method for method in again(joint, attempts) if (method, "final") not in looks.done)
            due = tuple(dict.fromkeys((*due, *anew)))
    accepted_on = None if due or looks.rejects or not welded_on else looks.accepted_on
    state = _state(joint, attempt, passes, looks.rejects, releases, welded_on, accepted_on)
    return Derived(
        state=state,
        attempt=attempt,
        attempts=attempts,
        next_step=_next_step(state, attempt, due, examinations),
        progress=_DONE if welded_on else _progress(joint, passes),
        due=due,
        welded_on=welded_on,
        accepted_on=accepted_on if state in (ACCEPTED, RELEASED) else None,
        released_on=releases[-1].done_on if state == RELEASED else None,
    )


class _Looks(NamedTuple):
    """What the examinations of one attempt say together.

    done         the methods, each with its stage, that have a result
    rejects      those that rejected the weld
    final_on     the day of the first look at the finished weld
    accepted_on  the day of the last acceptance, where the finished weld was accepted
    """

    done: set[tuple[str, str]]
    rejects: list[ExaminationFacts]
    final_on: date | None
    accepted_on: date | None


def _looks(examinations: Sequence[ExaminationFacts]) -> _Looks:
    done, rejects = set(), []
    final_on = accepted_on = None
    is_accepted = False
    for one in examinations:
        on, result, is_last = one.done_on, one.result, one.stage in FINAL_STAGES
        if is_last and (final_on is None or on < final_on):
            final_on = on
        if result == ACCEPTED:
            is_accepted = is_accepted or is_last
            if accepted_on is None or on > accepted_on:
                accepted_on = on
        elif result == REJECTED:
            rejects.append(one)
        else:
            continue
        done.add((one.method, "final" if is_last else one.stage))
    return _Looks(done, rejects, final_on, accepted_on if is_accepted else None)


def is_welded(passes: Sequence[PassFacts], examinations: Sequence[ExaminationFacts]) -> bool:
    """Whether the weld is complete: each cap pass closes the circle, as far as is said, or it was examined as final."""
    return _welded_on(passes, _looks(examinations)) is not None


def _welded_on(passes: Sequence[PassFacts], looks: _Looks) -> date | None:
    """The day of the last cap pass, else that of the first look at the finished weld; None where it is not complete."""
    caps = [one for one in passes if one.role == "cap"]
    if not caps or (looks.final_on is None and not _is_capped(caps)):
        return looks.final_on
    return caps[0].done_on if len(caps) == 1 else max(map(_DAY, caps))


def _is_capped(caps: Sequence[PassFacts]) -> bool:
    """Whether every pass of a cap is all round; where one segment says nothing of its place, the cap is taken to be."""
    for one in caps:
        if one.start_degrees is None or one.stop_degrees is None:
            return True
    if len(caps) == 1:
        return is_all_round(caps)
    orders = {one.order for one in caps}
    return all(is_all_round([one for one in caps if one.order == order]) for order in orders)


def is_final(stage: str) -> bool:
    """Whether an examination looks at the finished weld; a record that names no stage does."""
    return stage in FINAL_STAGES


def due_methods(
    rules: Sequence[ExamRuleFacts],
    done: Set[tuple[str, str]],
    picked: Set[tuple[str, str]] = frozenset(),
) -> tuple[str, ...]:
    """Methods asked of each joint, or of this one by a pick, without a result; a film to repeat is still due.

    done, picked    methods, each with its stage
    """
    due = []
    for rule in rules:
        asked = (rule.method, "final" if rule.stage in FINAL_STAGES else rule.stage)
        if asked not in done and (rule.share_percent >= _ALL or asked in picked):
            due.append(rule.method)
    return tuple(dict.fromkeys(due)) if due else ()


def fit_up_of(joint: JointFacts, attempts: Sequence[str]) -> FitUpFacts | None:
    """The fit-up that the joint stands on: the latest of its live attempts."""
    fit_ups = joint.fit_ups
    if not fit_ups:
        return None
    if len(attempts) == 1:
        return fit_ups[-1] if len(fit_ups) == 1 or fit_ups[-1].attempt == attempts[0] else None
    current = live(attempts)
    return next((one for one in reversed(fit_ups) if one.attempt in current), None)


def _state(
    joint: JointFacts,
    attempt: str,
    passes: Sequence[PassFacts],
    rejects: Sequence[ExaminationFacts],
    releases: Sequence[ReleaseFacts],
    welded_on: date | None,
    accepted_on: date | None,
) -> str:
    if joint.withdrawn:
        return WITHDRAWN
    if rejects and (not releases or any(not _earlier(one, releases[-1]) for one in rejects)):
        return REJECTED
    if releases:
        return RELEASED
    if accepted_on:
        return ACCEPTED
    if welded_on:
        return WELDED
    if passes:
        return IN_PROGRESS
    return FITTED if any(one.attempt == attempt for one in joint.fit_ups) else PLANNED


def _earlier(examination: ExaminationFacts, release: ReleaseFacts) -> bool:
    """Whether the examination was before the release, by the time of day where both have one."""
    if examination.done_at and release.done_at:
        return examination.done_at < release.done_at
    return examination.done_on < release.done_on


def _progress(joint: JointFacts, passes: Sequence[PassFacts]) -> Decimal:
    """The share of the passes welded: those the procedure asks for at least, or those of its table, else two."""
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
