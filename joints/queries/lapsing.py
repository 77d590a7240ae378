"""Whose qualification lapses soon, unless the process is used before."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from django.db.models import OuterRef, Subquery, Value
from django.db.models.functions import Replace

from records.clock import today_on
from records.facts import welder_facts
from records.models import ContinuityEntry, Job, Pass, Qualification, Stamp, Withdrawal
from rules.continuity import base_process, expires, lapses


@dataclass(frozen=True, slots=True)
class Lapsing:
    """A process of a welder that lapses in so many days."""

    stamp_id: UUID
    stamp: str
    name: str
    process: str
    lapses_on: date
    days: int


def lapsing(job: Job, *, within_days: int) -> tuple[Lapsing, ...]:
    """Return the processes that lapse within so many days, the first to lapse first; at most six queries.

    The last use of every qualified process comes from one query that looks each up by index; only the welders near
    their day are then held against the rule with all their days.
    """
    today = today_on(job)
    horizon = today + timedelta(days=within_days)
    near = {stamp for (stamp, _), last in _last_uses(job).items() if today <= expires(last) <= horizon}
    if not near:
        return ()
    ids = dict(Stamp.objects.filter(job=job, id__in=near).values_list("code", "id"))
    found = [
        Lapsing(ids[welder.stamp], welder.stamp, welder.name, process, day, (day - today).days)
        for welder in welder_facts(job, near).values()
        if welder.stamp in ids
        for process, day in lapses(welder).items()
        if today <= day <= horizon
    ]
    return tuple(sorted(found, key=lambda one: (one.lapses_on, one.stamp, one.process)))


def _last_uses(job: Job) -> dict[tuple[UUID, str], date]:
    withdrawn = Withdrawal.objects.filter(job=job, kind="pass").values("record")
    used = {"stamp": OuterRef("stamp"), "process": OuterRef("base")}
    passes = Pass.objects.filter(**used, replaced_by__isnull=True).exclude(id__in=withdrawn).order_by("-done_on")
    entries = ContinuityEntry.objects.filter(**used).order_by("-used_on")
    rows = (
        Qualification.objects.filter(job=job, status="active")
        .annotate(base=Replace("process", Value("-S"), Value("")))
        .annotate(welded=Subquery(passes.values("done_on")[:1]), proven=Subquery(entries.values("used_on")[:1]))
        .values_list("stamp_id", "process", "tested_on", "welded", "proven")
    )
    found: dict[tuple[UUID, str], date] = defaultdict(lambda: date.min)
    for stamp, process, *days in rows:
        key = stamp, base_process(process)
        found[key] = max(found[key], *(day for day in days if day))
    return found
