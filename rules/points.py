"""Hold and witness points: steps that wait for the owner's inspector, and whether work went on without them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from rules.attempts import is_repair
from rules.case import Case, found
from rules.facts import AttendanceFacts, ExaminationFacts, PassFacts, PointFacts
from rules.finding import CORRECT, NOTE, Finding, Requirement
from rules.sequence import is_before
from rules.source import Source
from rules.state import ACCEPTED, RELEASED, is_final

CODE = "hold-point-open"
HOLD, WITNESS = "hold", "witness"
KINDS = (HOLD, WITNESS)
FIT_UP, ROOT, RELEASE = "fit-up", "root", "release"
NOTIFIED, ATTENDED, WAIVED = "notified", "attended", "waived"
RESULTS = (NOTIFIED, ATTENDED, WAIVED)
_NEXT = {FIT_UP: ("pass", "before the first pass"), ROOT: ("pass", "before the pass after the root")}
_LATER = ("release", "before the release")
_DONE = ("accepted", "rejected")


@dataclass(frozen=True, slots=True)
class Standing:
    """A point that a joint has come to, and that the owner's inspector has not settled.

    gone_on    the record of the step after it, where there is one
    is_passed  whether it stands open: the step after it was taken, or nothing else keeps it from being taken
    waits      whether the owner's inspector can do something about it now
    last       what the owner's inspector did last about it, where that does not settle it
    """

    point: PointFacts
    attempt: str
    gone_on: Any | None
    is_passed: bool
    waits: bool
    last: AttendanceFacts | None


def requirements(points: Sequence[PointFacts]) -> list[Requirement]:
    """What must be there before the step after each point is taken."""
    asked = []
    for point in points:
        record, when = _NEXT.get(point.step, _LATER)
        asked.append(
            Requirement(
                id=f"point:{point.name}",
                code=CODE,
                record=record,
                test="requires",
                bounds=[ATTENDED, WAIVED] if point.kind == HOLD else list(RESULTS),
                source=source_of(point),
                severity=_severity(point),
                text_id="point",
                args={"label": called(point), "words": f"{_settling(point)} {when}"},
            )
        )
    return asked


def findings(case: Case) -> list[Finding]:
    """Each point that was passed, or stands open where only a release is left, without the owner's inspector."""
    return [_finding(case, one) for one in standings(case) if one.is_passed]


def standings(case: Case) -> list[Standing]:
    """The points that the joint has come to and that are not settled, in the order of its attempts and of the plan."""
    return [one for attempt in case.live for point in case.joint.points for one in _standing(case, attempt, point)]


def called(point: PointFacts) -> str:
    """The point as people say it: "Hold point 4.2, fit-up"."""
    return f"{point.kind.capitalize()} point {point.name}, {point.step}"


def source_of(point: PointFacts) -> Source:
    """The document that asks for the point."""
    return Source(point.document or "inspection and test plan", clause=f"point {point.name}", state="job")


def _severity(point: PointFacts) -> str:
    return CORRECT if point.kind == HOLD else NOTE


def _settling(point: PointFacts) -> str:
    told = "attended or waived by" if point.kind == HOLD else "told to, attended or waived by"
    return f"{told} the owner's inspector"


def _standing(case: Case, attempt: str, point: PointFacts) -> Iterator[Standing]:
    reached = _reached(case, attempt, point.step)
    if reached is None:
        return
    gone_on, is_passed, waits = reached
    said = [one for one in case.joint.attendances if one.point == point.id and one.attempt == attempt]
    if not any(_settles(point, one, gone_on) for one in said):
        yield Standing(point, attempt, gone_on, is_passed, waits, said[-1] if said else None)


def _settles(point: PointFacts, one: AttendanceFacts, gone_on: Any | None) -> bool:
    """A waiver is the owner's word whenever it is given; who attends or is told must be so before work goes on."""
    if one.result == WAIVED:
        return True
    if one.result == NOTIFIED and point.kind == HOLD:
        return False
    return gone_on is None or not is_before(gone_on, one)


def _reached(case: Case, attempt: str, step: str) -> tuple[Any | None, bool, bool] | None:
    """What went on after the step, whether it is passed, and whether it waits; None where it is not come to."""
    if step == FIT_UP:
        return _fitted(case, attempt)
    if step == ROOT:
        return _rooted(case, attempt)
    if attempt != case.derived.attempt:
        return None
    signed = next((one for one in case.joint.releases if one.attempt == attempt), None)
    if step == RELEASE:
        is_ready = case.derived.state in (ACCEPTED, RELEASED)
        return (signed, True, is_ready) if case.derived.welded_on or signed else None
    results = {one.result for one in case.examinations if one.method == step}
    if step not in case.derived.due and not results.intersection(_DONE):
        return None
    return signed, "accepted" in results or signed is not None, True


def _fitted(case: Case, attempt: str) -> tuple[Any | None, bool, bool] | None:
    """A repair has no fit-up of its own to wait at."""
    if is_repair(attempt):
        return None
    gone_on = next((one for one in case.passes if one.attempt == attempt), None) or _examined(case, attempt)
    if gone_on is None and not any(one.attempt == attempt for one in case.joint.fit_ups):
        return None
    return gone_on, gone_on is not None, True


def _rooted(case: Case, attempt: str) -> tuple[Any | None, bool, bool] | None:
    passes = [one for one in case.passes if one.attempt == attempt]
    roots = [one.order for one in passes if one.role == "root"]
    if not roots:
        return None
    after = (one for one in passes if one.role != "root" and one.order > min(roots))
    gone_on = next(after, None) or _examined(case, attempt)
    return gone_on, gone_on is not None, True


def _examined(case: Case, attempt: str) -> ExaminationFacts | None:
    """The first examination of the finished weld: of one whose passes nobody recorded it says that work went on."""
    of_attempt = (one for one in case.joint.examinations if one.attempt == attempt)
    return next((one for one in of_attempt if is_final(one.stage)), None)


def _finding(case: Case, one: Standing) -> Finding:
    return found(
        case,
        CODE,
        f"{called(one.point)}: {told(one)}.",
        source_of(one.point),
        attempt=one.attempt,
        record=one.gone_on.id if one.gone_on else "",
        measured=f"{one.last.result} {one.last.done_on}" if one.last else "nothing recorded",
        limit="attended or waived" if one.point.kind == HOLD else "told, attended or waived",
        subject=one.point.name,
        severity=_severity(one.point),
    )


def told(one: Standing) -> str:
    """Where a point stands that is not settled."""
    last = one.last
    if not one.is_passed:
        return f"{'told on ' + str(last.done_on) + ', ' if last else ''}waits for the owner's inspector"
    if one.gone_on is None and one.point.kind == WITNESS:
        return "the owner's inspector was not told of it"
    if one.gone_on is None:
        what = "was told and has neither attended nor waived it" if last else "has neither attended nor waived it"
        return f"the owner's inspector {what}, and the joint can be released only then"
    went_on = f"{_went_on(one.gone_on)} went on"
    if last is None and one.point.kind == WITNESS:
        return f"{went_on} and the owner's inspector was not told of it"
    if last and last.result == ATTENDED:
        return f"{went_on} before the owner's inspector attended on {last.done_on}"
    if last and one.point.kind == WITNESS:
        return f"{went_on} before the owner's inspector was told on {last.done_on}"
    was_told = "was told and " if last else ""
    return f"{went_on} and the owner's inspector {was_told}neither attended nor waived it"


def _went_on(record: Any) -> str:
    if isinstance(record, PassFacts):
        return f"pass {record.order} of {record.done_on}"
    if isinstance(record, ExaminationFacts):
        return f"{record.method} of {record.done_on}"
    return f"the release of {record.done_on}"
