"""Whose qualification lapses soon, unless the process is used before."""

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.db.models import Exists, F, OuterRef, Subquery, Value
from django.db.models.expressions import Combinable
from django.db.models.functions import Replace

from records.clock import today_on
from records.facts import welder_facts
from records.models import ContinuityEntry, Job, Pass, Qualification, Stamp, Withdrawal
from records.sending import ListTable, heads
from records.sorting import natural_key
from reports.spreadsheet import Cell
from rules.continuity import VARIANTS, base_process, expires, lapses, spans_of


@dataclass(frozen=True, slots=True)
class Lapsing:
    """A process of a welder that lapses in so many days.

    used_on   the last day that keeps it alive: a test, a pass or an entry
    """

    stamp_id: UUID
    stamp: str
    name: str
    employer: str
    process: str
    used_on: date
    lapses_on: date
    days: int


# How a list of them may be ordered; what is alike stands by day, stamp and process.
ORDERS: dict[str, Callable[[Lapsing], Any]] = {
    "day": lambda one: one.lapses_on,
    "stamp": lambda one: natural_key(one.stamp),
    "name": lambda one: one.name.casefold(),
    "employer": lambda one: one.employer.casefold(),
    "process": lambda one: one.process,
}
WITHIN = (30, 60, 90)
_HEADS = heads("stamp", "name", "employer", "process", "last used", "lapses", "days")


def lapsing(job: Job, *, within_days: int, order: str = "day") -> tuple[Lapsing, ...]:
    """Return the processes that lapse within so many days, the first to lapse first; at most six queries.

    order   one of ORDERS

    The last use of every qualified process comes from one query that looks each up by index; only the welders near
    their day are then held against the rule with all their days.
    """
    today = today_on(job)
    horizon = today + timedelta(days=within_days)
    near = {stamp for (stamp, _), last in _last_uses(job).items() if today <= expires(last) <= horizon}
    if not near:
        return ()
    rows = Stamp.objects.filter(job=job, id__in=near).values_list("code", "id", "employer")
    ids = {code: (key, employer) for code, key, employer in rows}
    found = [
        Lapsing(
            ids[welder.stamp][0],
            welder.stamp,
            welder.name,
            ids[welder.stamp][1],
            process,
            spans_of(welder, process)[-1].last,
            day,
            (day - today).days,
        )
        for welder in welder_facts(job, near).values()
        if welder.stamp in ids
        for process, day in lapses(welder).items()
        if today <= day <= horizon
    ]
    found.sort(key=lambda one: (one.lapses_on, natural_key(one.stamp), one.process))
    return tuple(sorted(found, key=ORDERS[order]))


def next_lapse(job: Job) -> Lapsing | None:
    """Return what lapses first from today on, None where nothing does; eight queries, six more for each dead end."""
    today = today_on(job)
    days = {expires(last) for last in _last_uses(job).values()}
    found = (lapsing(job, within_days=(day - today).days) for day in sorted(days) if day >= today)
    return next((rows[0] for rows in found if rows), None)


def lapsing_table(job: Job, *, within_days: int, order: str = "day") -> ListTable:
    """Return the same as a table; at most six queries."""
    rows: Iterator[list[Cell]] = (
        [one.stamp, one.name, one.employer, one.process, one.used_on, one.lapses_on, one.days]
        for one in lapsing(job, within_days=within_days, order=order)
    )
    return ListTable(f"lapsing within {within_days} days", _HEADS, rows)


def _last_uses(job: Job) -> dict[tuple[UUID, str], date]:
    # Asked of one pass after the other, the latest first, until one stands.
    withdrawn = Exists(Withdrawal.objects.filter(kind="pass", record=OuterRef("id")))
    corrected = Exists(Pass.objects.filter(replaces=OuterRef("id")))
    used = {"stamp": OuterRef("stamp"), "process": OuterRef("base")}
    passes = Pass.objects.filter(~corrected, ~withdrawn, **used).order_by("-done_on")
    entries = ContinuityEntry.objects.filter(**used).order_by("-used_on")
    base: Combinable = F("process")
    for variant in VARIANTS:
        base = Replace(base, Value(variant), Value(""))
    rows = (
        Qualification.objects.filter(job=job, status="active")
        .annotate(base=base)
        .annotate(welded=Subquery(passes.values("done_on")[:1]), proven=Subquery(entries.values("used_on")[:1]))
        .values_list("stamp_id", "process", "tested_on", "welded", "proven")
    )
    found: dict[tuple[UUID, str], date] = defaultdict(lambda: date.min)
    for stamp, process, *days in rows:
        key = stamp, base_process(process)
        found[key] = max(found[key], *(day for day in days if day))
    return found
