"""The welder register of a scope: whoever welded or tacked in it, and what each was qualified for."""

from collections import Counter
from collections.abc import Iterator
from datetime import date
from uuid import UUID

from django.db.models import Count, Q, QuerySet

from joints.queries.welders import standing_of
from office.queries.paper.title import About
from office.queries.paper.words import day
from records.facts import welder_facts
from records.models import FitUp, Pass, Stamp
from records.standing import standing
from reports.data import QualificationRow, WelderEntry, WelderRegisterData
from rules.continuity import base_process, lapses
from rules.facts import QualificationFacts
from rules.ranges import qualification_range


def welder_register(about: About) -> WelderRegisterData:
    """Return the register by stamp; seven queries."""
    return WelderRegisterData(about.title("Welder register", "welder register"), _entries(about))


def _entries(about: About) -> Iterator[WelderEntry]:
    job, scope = about.job, about.scope
    of = Q() if scope.kind == "job" else Q(joint__in=scope.joints().order_by())
    welded = _joints_by(standing(Pass, job).filter(of), "stamp")
    tacked = _joints_by(standing(FitUp, job).filter(of), "tack_stamp")
    used = set(welded) | set(tacked)
    stamps = Stamp.objects.filter(job=job, id__in=used).select_related("welder").order_by("code")
    facts = welder_facts(job, used)
    for stamp in stamps:
        one = facts[stamp.code]
        ends = lapses(one)
        yield WelderEntry(
            stamp=stamp.code,
            name=stamp.welder.name,
            employer=stamp.employer,
            period=_period(stamp.valid_from, stamp.valid_to),
            joints=_counted(welded[stamp.id], tacked[stamp.id]),
            qualifications=tuple(
                _qualification(tested, ends.get(base_process(tested.process)), about) for tested in one.qualifications
            ),
        )


def _joints_by(records: QuerySet, stamp: str) -> Counter[UUID]:
    rows = records.exclude(**{stamp: None}).order_by().values_list(stamp).annotate(Count("joint", distinct=True))
    return Counter(dict(rows))


def _period(start: date | None, end: date | None) -> str:
    if start and end:
        return f"{day(start)} to {day(end)}"
    return f"from {day(start)}" if start else f"until {day(end)}" if end else ""


def _counted(welded: int, tacked: int) -> str:
    parts = []
    for count, verb in ((welded, "welded on"), (tacked, "tacked")):
        if count:
            parts.append(f"{verb} {count} joint{'' if count == 1 else 's'}")
    return ", ".join(parts)


def _qualification(tested: QualificationFacts, ends: date | None, about: About) -> QualificationRow:
    covers = qualification_range(tested, about.job.units, about.job.welders_edition)
    return QualificationRow(
        number=tested.wpq,
        process=tested.process,
        tested=day(tested.tested_on),
        materials=f"{covers.p_numbers}; {covers.f_numbers}",
        thickness=covers.deposit,
        diameter=covers.diameter,
        positions="\n".join(covers.positions),
        valid=standing_of(tested, ends, about.issued, iso=True)[1],
    )
