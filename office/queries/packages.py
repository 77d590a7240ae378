"""The packages of a job, and the work that builds them."""

from uuid import UUID

from records.models import Job, Package, Work

MOST = 50
LATEST = 5
UNDER_WAY = ("queued", "running")


def packages_of(job: Job) -> list[Package]:
    """Return the latest packages; one query."""
    return list(Package.objects.filter(job=job).select_related("recorded_by").order_by("-recorded_at")[:MOST])


def works_of(job: Job, kind: str) -> list[Work]:
    """Return the works of a kind that are not done, the latest first; one query."""
    works = Work.objects.filter(job=job, kind=kind).exclude(state="done").select_related("asked_by")
    return list(works.order_by("-asked_at")[:MOST])


def work_under_way(job: Job, kind: str, arguments: dict[str, str]) -> UUID | None:
    """Return the id of a work that does the same already; one query. A second press of a button then leads there."""
    works = Work.objects.filter(job=job, kind=kind, state__in=UNDER_WAY, arguments=arguments)
    return works.values_list("id", flat=True).first()


def exports_of(job: Job, kind: str) -> list[Work]:
    """Return the latest workbooks asked for, and those under way; one query."""
    return list(Work.objects.filter(job=job, kind=kind).select_related("asked_by").order_by("-asked_at")[:LATEST])
