"""The leg that each fillet of a job asks, for the symbols of welds on isometrics."""

from collections.abc import Sequence
from uuid import UUID

from records.clock import today_on
from records.facts import Library, job_facts, joint_facts
from records.models import Job
from rules.judge import requirements
from rules.limits import shown_bounds


def fillet_legs(job: Job, joints: Sequence[UUID]) -> dict[UUID, str]:
    """Return the least leg of each joint that asks one, such as `7/32 in`; the library's queries and the facts'."""
    settings = job_facts(job, today_on(job))
    found = {}
    for key, facts in joint_facts(Library(job), joints).items():
        for one in requirements(facts, settings):
            if one.id == "leg" and (words := shown_bounds(one)):
                found[key] = words.removeprefix("at least ")
    return found
