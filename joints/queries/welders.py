"""The register of welders: what each is qualified for, in words, and until when."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import CharField, Count, Exists, F, OuterRef, Q, QuerySet, Value
from django.db.models.functions import Cast, Concat

from records.clock import today_on
from records.facts import welder_facts
from records.models import ContinuityEntry, Examination, Job, Pass, Stamp, Withdrawal
from records.paging import Page, cut_by_id
from records.standing import standing
from rules.continuity import SOURCE as CONTINUITY
from rules.continuity import base_process, lapses
from rules.facts import QualificationFacts, WelderFacts
from rules.interval import METHOD as INTERVAL
from rules.interval import share_told
from rules.ranges import Range, most_deposit, qualification_range
from rules.tables import table

PAGE = 50
SOON_DAYS = 30
KEYS = ("code", "id")
ALIVE, SOON, LAPSED, STOPPED = "alive", "soon", "lapsed", "stopped"


@dataclass(frozen=True, slots=True)
class QualificationShown:
    """One qualification with the range it gives.

    standing  alive, soon (lapses within SOON_DAYS), lapsed, or stopped (suspended or revoked); `words` says it
    """

    tested: QualificationFacts
    range: Range
    deposit_step: str
    deposit_source: str
    standing: str
    words: str


@dataclass(frozen=True, slots=True)
class WelderShown:
    """One stamp, who bears it, and what it may weld."""

    id: UUID
    stamp: str
    name: str
    employer: str
    valid_from: date | None
    valid_to: date | None
    qualifications: tuple[QualificationShown, ...]


@dataclass(frozen=True, slots=True)
class WelderPage:
    """A welder as the page shows them.

    used      the last days of each process, the latest first
    joints    welded on; attempts are what was examined and rejected, since a repair is another weld
    rejects   the share of rejected welds in words, of all and of those with each process
    """

    welder: WelderShown
    used: tuple[tuple[str, date], ...]
    entries: tuple[ContinuityEntry, ...]
    joints: int
    examined: int
    rejected: int
    rejects: tuple[tuple[str, str], ...]


def welders_page(
    job: Job, *, search: str = "", after: UUID | None = None, before: UUID | None = None
) -> Page[tuple[WelderShown, str]]:
    """Return one page of the register by stamp, each row with the share of its rejected welds in words.

    Seven queries, one more to page from a stamp.
    """
    stamps = Stamp.objects.filter(job=job)
    page = cut_by_id(stamps_wanted(job, search).values_list(*KEYS), KEYS, stamps, after=after, before=before, most=PAGE)
    ids = [row[1] for row in page.rows]
    rejects = {stamp: share_told(bad, of) for stamp, bad, of in _shares(job, Q(stamp__in=ids), "stamp_id")}
    return Page(tuple((row, rejects.get(row.id, "")) for row in welders_shown(job, ids)), *page.ends(ids))


def welder_page(stamp: Stamp) -> WelderPage:
    """Return everything about one stamp; nine queries."""
    facts = welder_facts(stamp.job, [stamp.id])[stamp.code]
    examined, rejected = _examined(stamp)
    return WelderPage(
        welder=_welder(stamp, facts, today_on(stamp.job)),
        used=tuple((process, days[-1]) for process, days in sorted(facts.used.items()) if days),
        entries=tuple(ContinuityEntry.objects.filter(stamp=stamp).order_by("-used_on")[:20]),
        joints=standing(Pass, stamp.job).filter(stamp=stamp).order_by().values("joint_id").distinct().count(),
        examined=examined,
        rejected=rejected,
        rejects=_rejects(stamp, examined, rejected),
    )


def range_sources() -> dict[str, str]:
    """Where each part of a range comes from, as the tables themselves name it; no query."""
    tables = {
        "diameter": "diameters_qw452_3",
        "positions": "positions_qw461_9",
        "p_numbers": "p_numbers_qw423",
        "f_numbers": "f_numbers_qw433",
    }
    found = {part: table(name) for part, name in tables.items()}
    words = {part: f"{one.source}, {one.edition}, {one.state}" for part, one in found.items()}
    return words | {"continuity": str(CONTINUITY), "interval": INTERVAL}


def stamps_wanted(job: Job, search: str) -> QuerySet[Stamp]:
    """Return the job's stamps that match, without order."""
    stamps = Stamp.objects.filter(job=job)
    return stamps.filter(Q(code__icontains=search) | Q(welder__name__icontains=search)) if search else stamps


def welders_shown(job: Job, ids: Sequence[UUID]) -> tuple[WelderShown, ...]:
    """Return some stamps by code; one query, and four for the facts, none a stamp."""
    stamps = list(Stamp.objects.filter(id__in=ids).select_related("welder", "job").order_by(*KEYS))
    facts = welder_facts(job, [stamp.id for stamp in stamps])
    today = today_on(job)
    return tuple(_welder(stamp, facts[stamp.code], today) for stamp in stamps)


def _welder(stamp: Stamp, facts: WelderFacts, today: date) -> WelderShown:
    ends = lapses(facts)
    return WelderShown(
        id=stamp.id,
        stamp=stamp.code,
        name=facts.name,
        employer=stamp.employer,
        valid_from=stamp.valid_from,
        valid_to=stamp.valid_to,
        qualifications=tuple(
            _qualification(one, ends.get(base_process(one.process)), today, stamp.job) for one in facts.qualifications
        ),
    )


def _qualification(tested: QualificationFacts, ends: date | None, today: date, job: Job) -> QualificationShown:
    _, step, source = most_deposit(tested, job.units)
    standing, words = standing_of(tested, ends, today)
    covers = qualification_range(tested, job.units, job.welders_edition)
    return QualificationShown(tested, covers, step, str(source), standing, words)


def standing_of(tested: QualificationFacts, ends: date | None, today: date, *, iso: bool = False) -> tuple[str, str]:
    """Say how a qualification stands on a day, in one word and in a few.

    iso   its days as papers write them, 2027-05-16, instead of as pages do
    """
    if tested.status != "active":
        since = f" since {_day(tested.status_on, iso)}" if tested.status_on else ""
        return STOPPED, f"{tested.status}{since}"
    if ends is None:
        return LAPSED, "no use on record"
    if ends <= today:
        return LAPSED, f"lapsed {_day(ends, iso)}"
    days = (ends - today).days
    if days <= SOON_DAYS:
        return SOON, f"lapses {_day(ends, iso)}, in {days} day{'' if days == 1 else 's'}"
    return ALIVE, f"until {_day(ends, iso)}"


def _day(day: date, iso: bool) -> str:
    return day.isoformat() if iso else f"{day.day} {day:%b %Y}"


def _examined(stamp: Stamp) -> tuple[int, int]:
    """How many of the welds that a stamp worked on were examined, and how many of them rejected; two queries."""
    passes = standing(Pass, stamp.job).filter(stamp=stamp, joint=OuterRef("joint"), attempt=OuterRef("attempt"))
    welds = _verdicts(stamp.job).filter(Exists(passes)).order_by().values("joint_id", "attempt").distinct()
    return welds.count(), welds.filter(result="rejected").count()


def _rejects(stamp: Stamp, examined: int, rejected: int) -> tuple[tuple[str, str], ...]:
    """Word the share of rejects of all welds and by process; one query. A weld of two processes counts with each."""
    told = [(process, share_told(bad, of)) for process, bad, of in _shares(stamp.job, Q(stamp=stamp), "process")]
    return (("all processes", share_told(rejected, examined)), *told) if examined else ()


def _shares(job: Job, whose: Q, by: str) -> QuerySet[Pass, tuple[Any, int, int]]:
    """How many welds were rejected, and how many examined, by a column of their passes; one query.

    whose  which passes are looked at
    """
    verdicts = _verdicts(job).filter(joint=OuterRef("joint"), attempt=OuterRef("attempt"))
    weld = Concat(Cast("joint_id", CharField()), Value(" "), F("attempt"), output_field=CharField())
    passes = standing(Pass, job).filter(whose).filter(Exists(verdicts)).annotate(weld=weld)
    bad = Count("weld", distinct=True, filter=Exists(verdicts.filter(result="rejected")))
    return passes.order_by(by).values_list(by).annotate(bad=bad, of=Count("weld", distinct=True))


def _verdicts(job: Job) -> QuerySet[Examination]:
    """The examinations that say something of a weld: those that stand, without films to take again."""
    withdrawn = Withdrawal.objects.filter(job=job, kind="examination").values("record")
    standing = Examination.objects.filter(job=job, replaced_by__isnull=True).exclude(id__in=withdrawn)
    return standing.exclude(result="re-shoot")
