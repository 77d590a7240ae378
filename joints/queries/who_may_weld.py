"""Who may weld a joint, and every reason why the others may not."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from records.clock import today_on
from records.facts import Library, job_facts, joint_facts
from records.models import Job, Joint
from rules.judge import who_may_weld as judge


@dataclass(frozen=True, slots=True)
class Candidate:
    """A welder held against one joint.

    reasons    every reason against, empty where qualified for all of it
    lapses_on  the day on which the first process the joint needs lapses, unless used before
    """

    stamp_id: UUID
    stamp: str
    name: str
    is_qualified: bool
    reasons: tuple[str, ...]
    lapses_on: date | None


def who_may_weld(joint: Joint) -> list[Candidate]:
    """Return every stamp of the job held against a joint today, who may weld all of it first; constant queries."""
    library = Library(joint.job)
    ids = {code: key for key, code in library.stamps.items()}
    facts = joint_facts(library, [joint.id])[joint.id]
    settings = job_facts(joint.job, today_on(joint.job))
    welders = library.people().welders
    found = [
        Candidate(ids[welder.stamp], welder.stamp, welder.name, ok, tuple(reasons), lapses_on)
        for welder, ok, reasons, lapses_on in judge(facts, settings, list(welders.values()))
    ]
    return sorted(found, key=lambda one: (not one.is_qualified, bool(one.reasons), one.stamp))


def reasons_against(job: Job, pairs: Sequence[tuple[UUID, UUID]]) -> dict[tuple[UUID, UUID], tuple[str, ...]]:
    """Return the reasons against each (joint, stamp) that may not be; pairs without a reason are left out."""
    if not pairs:
        return {}
    library = Library(job)
    of_job = Joint.objects.filter(job=job, id__in={joint for joint, _ in pairs})
    facts = joint_facts(library, list(of_job.values_list("id", flat=True)))
    settings = job_facts(job, today_on(job))
    welders = library.people({stamp for _, stamp in pairs}).welders
    wanted: dict[UUID, set[UUID]] = defaultdict(set)
    for joint, stamp in pairs:
        wanted[joint].add(stamp)
    found = {}
    for joint, stamps in wanted.items():
        # A joint or a stamp that is not of this job is refused by its own sentence.
        for stamp_id in stamps & library.stamps.keys() if joint in facts else ():
            [(_, ok, reasons, _lapses)] = judge(facts[joint], settings, [welders[library.stamps[stamp_id]]])
            if not ok:
                found[joint, stamp_id] = tuple(reasons)
    return found
