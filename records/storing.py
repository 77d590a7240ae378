"""Findings of the rules as the rows that lists read."""

from datetime import date
from uuid import UUID

from records.models import Finding, Job
from rules.acting import acts_on, finding_key
from rules.finding import Finding as RuleFinding


def stored_finding(
    job: Job, joint_id: UUID, finding: RuleFinding, override: UUID | None, *, joint_key: str, since: date | None
) -> Finding:
    """Turn a finding of the rules into a row.

    joint_key  what sorts its joint
    since      the day of the record that it speaks of, else of the last one at the joint
    """
    return Finding(
        job_id=job.id,
        joint_id=joint_id,
        attempt=finding.attempt,
        code=finding.code,
        record=finding.record,
        severity=finding.severity,
        message=finding.message,
        source=finding.source[:200],
        measured=finding.measured[:80],
        limit=finding.limit[:120],
        unit=finding.unit[:20],
        subject=finding.subject[:120],
        steps=list(finding.steps),
        tables=[list(one) for one in finding.tables],
        override_id=override,
        sort_key=finding_key(finding.severity, finding.code, joint_key),
        owner=acts_on(finding.code),
        since=since,
    )
