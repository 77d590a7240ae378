"""The cover of a turnover package: what is in the scope, whose editions were used, and the journal's head."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator

from django.db.models import Count

from joints.queries.owner_limits import owner_limits
from office.queries.paper.title import About
from records.clock import local_time
from records.confirmed import confirmed_on
from records.models import Finding, JournalEntry, JournalHead
from records.models.joint import STATES
from records.sorting import natural_key
from reports.data import JournalHead as PrintedHead
from reports.data import PackageCover
from rules.confirmation import table_words
from rules.tables import table, table_names

# The standards besides the job's code whose figures verdicts rest on, and the tables of each.
STANDARDS = {
    "ASME BPVC Section IX": ("deposit_qw452_1b", "diameters_qw452_3", "f_numbers_qw433", "fillers", "materials"),
    "ASME B36.10M and B36.19M": ("pipe",),
    "ASME B16.11": ("socket_fittings",),
}
# One table speaks of many standards, each by its own edition.
OF_CERTIFICATES = "certificates"


def cover(about: About, *, missing: int) -> PackageCover:
    """Return the cover; fifteen queries at most.

    missing   how many things are still missing
    """
    job, scope = about.job, about.scope
    return PackageCover(
        title=about.title("Turnover package", "turnover package"),
        scope=scope.words,
        client=job.client,
        site=job.site,
        journal=journal_head(about),
        counts=tuple(_counts(about, missing)),
        editions=(f"{job.construction_code}, {job.edition}", *_editions()),
        remarks=tuple(_remarks(about)),
    )


def _owners_limits(about: About) -> Iterator[str]:
    """That the owner's specification applies, and each limit that is looser than the code's or a procedure's."""
    limits = [one for one in owner_limits(about.job) if not one.is_withdrawn]
    if limits:
        named = "; ".join(_documents(one.source for one in limits))
        yield f"Beside the code and the procedures applies: {named}."
    for one in limits:
        for words in one.looser:
            yield f"{one.words}, {one.applies}: {one.figure} by {one.source}, {words}."


def _documents(sources: Iterable[str]) -> Iterator[str]:
    """Each document once, with its clauses behind it."""
    clauses: dict[str, set[str]] = {}
    for source in sources:
        document, _, clause = source.rpartition(", ")
        clauses.setdefault(document or clause, set()).update([clause] if document else [])
    for document, named in clauses.items():
        yield ", ".join([document, *sorted(named, key=natural_key)])


def journal_head(about: About) -> PrintedHead:
    """Return the head of the job's journal with the time of its last entry; two queries."""
    head = JournalHead.objects.get(job=about.job)
    last = JournalEntry.objects.filter(job=about.job, number=head.number).first()
    at = local_time(about.job, last.written_at).strftime("%Y-%m-%d %H:%M") if last else ""
    return PrintedHead(head.number, head.hash, at)


def _counts(about: About, missing: int) -> Iterator[tuple[str, str]]:
    states = Counter(dict(about.scope.joints().order_by().values_list("state").annotate(Count("id"))))
    lines, joints = about.scope.lines().count(), sum(states.values()) - states["withdrawn"]
    yield "In it", f"{lines:,} line{'' if lines == 1 else 's'}, {joints:,} joint{'' if joints == 1 else 's'}"
    yield "Joints by state", ", ".join(f"{states[state]:,} {state}" for state in STATES if states[state])
    found = Finding.objects.filter(joint__in=about.scope.joints().order_by())
    severities = Counter(
        dict(found.filter(override__isnull=True).order_by().values_list("severity").annotate(Count("id")))
    )
    overridden = found.filter(override__isnull=False).count()
    yield (
        "Open findings",
        f"{severities['stop']:,} that stop, {severities['correct']:,} to correct; {overridden:,} overridden",
    )
    yield "Still missing", f"{missing:,} item{'' if missing == 1 else 's'}" if missing else "nothing"


def _editions() -> Iterator[str]:
    for standard, names in STANDARDS.items():
        editions = dict.fromkeys(re.split("[;,]", table(name).edition)[0] for name in names)
        yield f"{standard}, {max(editions, key=len)}"
    yield table(OF_CERTIFICATES).source


def _remarks(about: About) -> Iterator[str]:
    yield from _owners_limits(about)
    confirmed = confirmed_on(about.job)
    for one in sorted(confirmed.standing.values(), key=lambda one: (one.done_on, one.table, one.row)):
        called = table_words((one.table, one.row))
        yield f"Table {called} confirmed against edition {one.edition} by {one.by}, {one.done_on.isoformat()}."
    bare = [table_words((name, "")) for name in table_names() if confirmed.of(name) is None]
    if bare:
        yield f"{len(bare)} of {len(table_names())} tables are not confirmed as a whole: {', '.join(bare)}."
    if about.job.confirmation_demanded:
        yield "This job releases only by tables that an engineer has confirmed."
    yield (
        "A source marked (from memory) or (editions differ) rests on a figure that has not been checked against the "
        "contract's own copy of the standard, unless a remark above confirms it."
    )
