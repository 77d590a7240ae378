"""The sequence of a joint's records: dates that can follow each other, repairs, and the release."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from itertools import pairwise
from operator import attrgetter
from typing import Any

from rules.attempts import strays, surplus
from rules.case import Case, found
from rules.facts import ExaminationFacts, JointFacts, PassFacts, RepairFacts
from rules.finding import Finding
from rules.source import Source
from rules.specification import source_of
from rules.state import ACCEPTED, is_final

REPAIRS_MOST = 2
_PRACTICE = Source("common practice", state="practice")


def findings(case: Case) -> list[Finding]:
    """Records whose dates can't follow each other, one repair too many, and a release that is missing."""
    joint = case.joint
    several = len(case.derived.attempts) > 1
    found_here: list[Finding] = []
    for attempt in case.derived.attempts if several or not _goes_forward(joint) else ():
        passes: Sequence[PassFacts] = joint.passes
        examinations: Sequence[ExaminationFacts] = joint.examinations
        if several:
            passes = [one for one in passes if one.attempt == attempt]
            examinations = [one for one in examinations if one.attempt == attempt]
        found_here += _of_attempt(case, attempt, passes, examinations)
    if several:
        found_here += _strays(case)
        found_here += _decisions(case)
        found_here += _repairs(case)
    if case.derived.state == ACCEPTED:
        told = "The weld is accepted and not released."
        found_here.append(found(case, "release-missing", told, _PRACTICE, measured="none", limit="a release"))
    return found_here


def _goes_forward(joint: JointFacts) -> bool:
    """Whether each record follows those before it in the order of the work, as mostly; none is then to blame."""
    order, day, time = 0, date.min, None
    for one in joint.passes:
        if one.order < order:
            return False
        order = one.order
    records: Iterable[Any] = (*joint.fit_ups, *joint.passes, *joint.examinations, *joint.releases)
    for one in records:
        on, at = one.done_on, one.done_at
        if on < day:
            return False
        day = on
        if at:
            if time and at < time:
                return False
            time = at
    return True


def _of_attempt(
    case: Case, attempt: str, passes: Sequence[PassFacts], examinations: Sequence[ExaminationFacts]
) -> Iterator[Finding]:
    """What within one attempt is dated before what it follows."""
    fit_up = next((one for one in case.joint.fit_ups if one.attempt == attempt), None)
    if passes:
        if fit_up and (first := next((one for one in passes if is_before(one, fit_up)), None)):
            told = f"Pass {first.order} is dated {_when(first)}, before its fit-up of {_when(fit_up)}."
            yield _order(case, attempt, first, fit_up, told)
        yield from _passes(case, attempt, passes)
        last = passes[-1]
        for one in examinations:
            if is_final(one.stage) and is_before(one, last):
                told = f"{one.method} is dated {_when(one)}, before pass {last.order} of {_when(last)}."
                yield _order(case, attempt, one, last, told)
    elif fit_up and examinations:
        for one in examinations:
            if is_final(one.stage) and is_before(one, fit_up):
                told = f"{one.method} is dated {_when(one)}, before the fit-up of {_when(fit_up)}."
                yield _order(case, attempt, one, fit_up, told)
    if case.joint.releases:
        yield from _releases(case, attempt, examinations)


def _passes(case: Case, attempt: str, passes: Sequence[PassFacts]) -> Iterator[Finding]:
    """A pass dated before one of a lower order; the records come by date, so a falling order shows it."""
    for before, after in pairwise(passes):
        if after.order < before.order and is_before(before, after):
            ordered = sorted(passes, key=attrgetter("order"))
            early, late = next(pair for pair in pairwise(ordered) if is_before(pair[1], pair[0]))
            told = f"Pass {late.order} is dated {_when(late)}, before pass {early.order} of {_when(early)}."
            yield _order(case, attempt, late, early, told)
            return


def _releases(case: Case, attempt: str, examinations: Sequence[ExaminationFacts]) -> Iterator[Finding]:
    accepted = [one for one in examinations if one.result == ACCEPTED]
    for release in case.joint.releases:
        if release.attempt == attempt and (late := next((one for one in accepted if is_before(release, one)), None)):
            told = f"The release is dated {_when(release)}, before the {late.method} of {_when(late)}."
            yield _order(case, attempt, release, late, told)


def _strays(case: Case) -> Iterator[Finding]:
    """Attempts on which something was recorded and that no decision opened."""
    joint = case.joint
    for label in strays(joint):
        kind = "repair" if label.startswith("R") else "cut-out" if label.startswith("W") else "decision"
        records: list[Any] = [*joint.fit_ups, *joint.passes, *joint.examinations, *joint.releases, *joint.repairs]
        first = next(one for one in records if one.attempt == label)
        told = f"Attempt {label} has records, and no {kind} was decided that would open it."
        yield found(
            case, "record-order", told, _PRACTICE, attempt=label, record=first.id, measured="none", limit=f"a {kind}"
        )


def _decisions(case: Case) -> Iterator[Finding]:
    """Decisions without or before the reject they answer, and work dated before the decision that opened it."""
    joint = case.joint
    attempts = case.derived.attempts
    ignored = surplus(joint.repairs)
    for decision, counts in ignored:
        yield _second(case, decision, counts)
    for decision in (one for one in joint.repairs if not any(one is other for other, _ in ignored)):
        rejects = [one for one in joint.examinations if one.attempt == decision.attempt and one.result == "rejected"]
        if rejects and all(is_before(decision, one) for one in rejects):
            told = f"The {decision.decision} is dated {_when(decision)}, before the reject of {_when(rejects[0])}."
            yield _order(case, decision.attempt, decision, rejects[0], told)
        place = attempts.index(decision.attempt) + 1
        opened = attempts[place] if place < len(attempts) else ""
        work: list[Any] = [*joint.fit_ups, *joint.passes]
        if early := next((one for one in work if one.attempt == opened and is_before(one, decision)), None):
            what = f"the {decision.decision} of {_when(decision)}"
            told = f"Work on attempt {opened} is dated {_when(early)}, before {what}."
            yield _order(case, opened, early, decision, told)


def _second(case: Case, decision: RepairFacts, counts: RepairFacts) -> Finding:
    one, other = (f"{each.decision} of {_when(each)}" for each in (decision, counts))
    told = (
        f"Two decisions stand on attempt {decision.attempt}: the {other} counts, and the {one} opens nothing. "
        "Withdraw the one that is wrong."
    )
    attempt, record = decision.attempt, decision.id
    return found(case, "record-order", told, _PRACTICE, attempt=attempt, record=record, measured=one, limit=other)


def _repairs(case: Case) -> Iterator[Finding]:
    """The repairs of the metal that is in the line: what a cut-out took away counts no more."""
    limit, source = _repairs_most(case)
    made = [label for label in case.live if label.startswith("R")]
    if len(made) > limit:
        name = "job setting" if source.state == "practice" else source
        told = f"The joint was repaired {len(made)} times, at most {limit} ({name}; no code limits it)."
        yield found(case, "repairs-exceeded", told, source, measured=str(len(made)), limit=str(limit), unit="repairs")


def _repairs_most(case: Case) -> tuple[int, Source]:
    """How many repairs the owner allows, else the job, else two; no code limits them."""
    if row := case.owners.limits.get("repairs max"):
        return int(row.value), source_of(row)
    limit = case.job.repairs_max
    return (REPAIRS_MOST, Source("job setting", state="practice")) if limit is None else (limit, Source("job setting"))


def is_before(one: Any, other: Any) -> bool:
    """Whether a record was made before another, by the time of day only where both know it."""
    a: date = one.done_on
    b: date = other.done_on
    if a != b:
        return a < b
    at: datetime | None = one.done_at
    other_at: datetime | None = other.done_at
    return at is not None and other_at is not None and at < other_at


def _when(record: Any) -> str:
    return f"{record.done_at:%Y-%m-%d %H:%M}" if record.done_at else f"{record.done_on}"


def _order(case: Case, attempt: str, record: Any, other: Any, told: str) -> Finding:
    return found(
        case,
        "record-order",
        told,
        _PRACTICE,
        attempt=attempt,
        record=record.id,
        measured=_when(record),
        limit=_when(other),
    )
