"""The records that stand: neither corrected by a later one nor withdrawn."""

from typing import TypeVar

from django.db.models import QuerySet

from records.models import Job, Withdrawal
from records.models.base import Record

R = TypeVar("R", bound=Record)


def standing(model: type[R], job: Job) -> QuerySet[R]:
    """Return the standing records of a kind, for questions about many of them at once.

    Those that are corrected or withdrawn are few and looked up by key: to join all records with all takes PostgreSQL
    seven times as long.
    """
    rows = model._default_manager.filter(job=job)
    withdrawn = Withdrawal.objects.filter(job=job, kind=model._meta.model_name).values("record")
    corrected = rows.filter(replaces__isnull=False).values("replaces")
    return rows.exclude(id__in=withdrawn).exclude(id__in=corrected)
