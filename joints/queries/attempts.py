"""The attempts at joints that were welded more than once, each with the decision that ended it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from records.facts import Library, joint_facts
from records.models import Job
from rules.attempts import decided, sequence


@dataclass(frozen=True, slots=True)
class AttemptTold:
    """One attempt; `decision` and its day where one ended it."""

    label: str
    decision: str
    decided_on: date | None


def attempts_of(joints: Mapping[UUID, Sequence[UUID]]) -> dict[UUID, list[AttemptTold]]:
    """Return the attempts at joints, given by job, in order; constant queries for each job."""
    found: dict[UUID, list[AttemptTold]] = {}
    jobs = Job.objects.in_bulk(list(joints)) if joints else {}
    for key, ids in joints.items():
        for joint_id, facts in joint_facts(Library(jobs[key]), list(ids)).items():
            ended = {one.attempt: one for one, _ in decided(facts.repairs)}
            found[joint_id] = [
                AttemptTold(label, ended[label].decision, ended[label].done_on) if label in ended
                else AttemptTold(label, "", None)
                for label in sequence(facts)
            ]  # fmt: skip
    return found
