"""What a record would show if it were written: judged beside what stands recorded, and nothing is stored."""

from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from typing import Any

from records.clock import today_on
from records.facts import Library, fact_of, job_facts, joint_facts
from records.models import Examination, FitUp, Job, Pass
from records.models.base import JointRecord
from rules.facts import JointFacts
from rules.finding import Finding
from rules.judge import findings

_SHELVES: Mapping[type[JointRecord], str] = {FitUp: "fit_ups", Pass: "passes", Examination: "examinations"}
_WEIGHT = {"stop": 0, "correct": 1, "note": 2}


def findings_of_draft(job: Job, draft: JointRecord) -> list[Finding]:
    """Return the findings that this unsaved fit-up, pass or examination would have; some fifteen queries.

    draft    as its form says it; one that replaces another is judged without the other; of another kind: none
    """
    if type(draft) not in _SHELVES:
        return []
    library = Library(job)
    joint = joint_facts(library, [draft.joint_id])[draft.joint_id]
    _put(joint, draft, library)
    stamps = {one.stamp for one in joint.passes} | {one.tack_stamp for one in joint.fit_ups}
    people = library.people({key for key, code in library.stamps.items() if code in stamps})
    told = [one for one in findings(joint, job_facts(job, today_on(job)), people) if one.record == str(draft.id)]
    return sorted(told, key=lambda one: _WEIGHT[one.severity])


def _put(joint: JointFacts, draft: JointRecord, library: Library) -> None:
    """Put the draft in its place among the records of its kind."""
    shelf = _SHELVES[type(draft)]
    gone = str(draft.replaces_id) if draft.replaces_id else str(draft.id)
    standing = [one for one in getattr(joint, shelf) if one.id != gone]
    order: Callable[[Any], Any] = _when
    setattr(joint, shelf, sorted([*standing, fact_of(draft, library)], key=order))


def _when(one: Any) -> tuple[Any, ...]:
    return one.done_on, one.done_at or datetime.min.replace(tzinfo=UTC), getattr(one, "order", 0)
