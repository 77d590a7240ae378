"""The findings that say a joint is rejected or stop it, and those that one override speaks of."""

from django.db.models import Q

from records.models import Finding, Joint
from rules.finding import CORRECT, STOP
from rules.points import CODE as POINT_OPEN

# What keeps a joint from its release: every stop, and a hold point that the owner's inspector has not settled.
STOPPING = Q(severity=STOP) | Q(code=POINT_OPEN, severity=CORRECT)


def rejects_of(joint: Joint) -> list[Finding]:
    """Return the open rejects of a joint; one query."""
    return list(Finding.objects.filter(joint=joint, code="examination-rejected").order_by("id"))


def open_stops_of(joint: Joint) -> list[Finding]:
    """Return the findings that stop the release of a joint; one query."""
    return list(Finding.objects.filter(STOPPING, joint=joint, override__isnull=True).order_by("id"))


def findings_named(joint: Joint, code: str, attempt: str) -> list[Finding]:
    """Return the findings of a code on an attempt of a joint, all of which one override covers; one query."""
    return list(Finding.objects.filter(joint=joint, code=code, attempt=attempt).order_by("id"))
