"""The findings of a scope on paper: open, and overridden in writing."""

from collections.abc import Iterator

from django.db.models import Case, IntegerField, Value, When

from office.queries.paper.batches import joint_batches
from office.queries.paper.title import About
from office.queries.paper.words import joint_key
from records.confirmed import Confirmed, confirmed_on
from records.models import Finding, Joint
from reports.data import FindingRow, FindingsData
from rules.finding import CORRECT, NOTE, STOP

_WEIGHT = Case(
    *(When(severity=severity, then=Value(place)) for place, severity in enumerate((STOP, CORRECT, NOTE))),
    output_field=IntegerField(),
)


def findings(about: About) -> FindingsData:
    """Return the findings joint by joint, the weightiest of a joint first; two queries for each 2,000, and one."""
    return FindingsData(about.title("Findings", "findings"), _rows(about))


def _rows(about: About) -> Iterator[FindingRow]:
    confirmed = confirmed_on(about.job)
    for batch in joint_batches(about.scope):
        found: dict[object, list[Finding]] = {}
        rows = Finding.objects.filter(joint__in=[joint.id for joint in batch]).select_related("override")
        for finding in rows.order_by(_WEIGHT, "code", "id"):
            found.setdefault(finding.joint_id, []).append(finding)
        for joint in batch:
            yield from (_row(joint, finding, confirmed) for finding in found.get(joint.id, ()))


def _row(joint: Joint, finding: Finding, confirmed: Confirmed) -> FindingRow:
    unit = finding.unit if finding.unit == "°" else f" {finding.unit}" if finding.unit else ""
    return FindingRow(
        code=finding.code,
        severity=finding.severity,
        joint=joint_key(joint),
        attempt=finding.attempt,
        message=finding.message,
        measured=f"{finding.measured}{unit}" if finding.measured[-1:].isdigit() else finding.measured,
        limit=f"{finding.limit}{unit}" if finding.limit[-1:].isdigit() else finding.limit,
        arithmetic="\n".join(finding.steps),
        source=finding.source,
        source_state=confirmed.words(finding.tables),
        # Ids begin with the time they were made, so it is their end that tells one from another.
        record=f"…{finding.record[-8:]}" if finding.record else "",
        override=_override(finding),
    )


def _override(finding: Finding) -> str:
    one = finding.override
    return f"{one.by}, {one.done_on.isoformat()}: {one.reason}" if one else ""
