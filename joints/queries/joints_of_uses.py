"""Joints judged by whether a process was alive: passes that come or go can keep it so, or let it lapse."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from uuid import UUID

from django.db.models import Q

from records.facts import welder_facts
from records.models import Finding, FitUp, Job, Pass, Stamp
from rules.continuity import base_process, spans
from rules.facts import WelderFacts

# What a welder, or whoever tacked, is told where the process had lapsed.
LAPSED = ("qualification-lapsed", "tacker-not-qualified")
Uses = dict[UUID, dict[str, set[date]]]


def joints_of_uses(job: Job, *, come: Iterable[UUID] = (), gone: Sequence[Pass] = ()) -> set[UUID]:
    """Return the joints whose findings can change with passes of one job that count from now on, or no more.

    come  the stamps of passes just stored: only what had lapsed can change by them; two queries
    gone  passes just corrected or withdrawn: where a time alive is cut short by it, everything that the welder did
          from that day on; five queries, and two for each welder of whom that is so
    """
    found = _told_lapsed(job, come) if come else set()
    for stamp, days in _uses(gone).items():
        found |= _cut_short(job, stamp, days)
    return found


def _told_lapsed(job: Job, come: Iterable[UUID]) -> set[UUID]:
    stamps = Stamp.objects.filter(id__in=come).values_list("code", flat=True)
    rows = Finding.objects.filter(job=job, code__in=LAPSED, subject__in=list(stamps))
    return set(rows.values_list("joint_id", flat=True))


def _uses(passes: Iterable[Pass]) -> Uses:
    found: Uses = defaultdict(lambda: defaultdict(set))
    for one in passes:
        found[one.stamp_id][base_process(one.process)].add(one.done_on)
    return found


def _cut_short(job: Job, stamp: UUID, gone: dict[str, set[date]]) -> set[UUID]:
    welder = next(iter(welder_facts(job, [stamp]).values()))
    days = [min(lost) for process, lost in gone.items() if _is_cut(welder, process, lost)]
    if not days:
        return set()
    since = Q(done_on__gte=min(days))
    welded = Pass.objects.filter(since, stamp_id=stamp).values_list("joint_id", flat=True)
    tacked = FitUp.objects.filter(since, tack_stamp_id=stamp).values_list("joint_id", flat=True)
    return {*welded, *tacked}


def _is_cut(welder: WelderFacts, process: str, lost: set[date]) -> bool:
    """Whether a process is alive at other times without the days lost."""
    tests = [one.tested_on for one in welder.qualifications if base_process(one.process) == process]
    used = {day for name, days in welder.used.items() if base_process(name) == process for day in days}
    return spans(tests, sorted(used)) != spans(tests, sorted(used | lost))
