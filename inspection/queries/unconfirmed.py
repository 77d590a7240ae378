"""The tables that joints rest on and that no engineer has confirmed."""

from collections.abc import Sequence
from uuid import UUID

from records.clock import today_on
from records.confirmed import confirmed_on
from records.facts import Library, job_facts, joint_facts
from records.models import Job
from rules.basis import tables_of


def unconfirmed_of(job: Job, joint_ids: Sequence[UUID]) -> dict[UUID, list[tuple[str, str]]]:
    """Return, by joint, the rows of tables that limit it and are not confirmed; constant queries.

    joint_ids  at most some thousands; a joint whose every table is confirmed is left out
    """
    settings, confirmed = job_facts(job, today_on(job)), confirmed_on(job)
    facts = joint_facts(Library(job), joint_ids)
    missing = {key: confirmed.missing(tables_of(joint, settings)) for key, joint in facts.items()}
    return {key: rows for key, rows in missing.items() if rows}
