"""The lots of a job as pages show them: which are short, and one with its welds."""

from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from django.db.models import Count

from records.facts import Library
from records.lot_storing import place
from records.lots import lots_touching, with_welds
from records.models import Job, Joint, SampleLot
from records.paging import Page, Place, cut
from rules.lots import BASES, STATES, Lot, LotWeld, parse_basis, told_extra, told_short
from rules.units import plain

PAGE = 50
KEYS = ("sort_key",)
COLUMNS = (
    "id", "sort_key", "rule_id", "name", "rule__plan__name", "rule__method", "rule__joint_kind", "share_percent",
    "asked_by", "state", "welds", "needed", "counted", "pending", "short", "extra_due", "lacking",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class LotRow:
    """One lot as the list shows it."""

    id: UUID
    place: str
    rule_id: UUID
    name: str
    plan: str
    method: str
    kind: str
    share_percent: Decimal
    asked_by: str
    state: str
    welds: int
    needed: int
    counted: int
    pending: int
    short: int
    extra_due: int
    lacking: list[str]


@dataclass(frozen=True, slots=True)
class LotsPage:
    """One page of lots, those that ask for most first.

    unnamed   rules that ask a share and name no lot
    is_stale  joints wait to be judged again, and what their lots say may change
    """

    rows: tuple[LotRow, ...]
    counts: tuple[tuple[str, int], ...]
    unnamed: tuple[str, ...]
    is_stale: bool
    previous: str
    next: str


def lots_page(job: Job, state: str, *, after: str = "", before: str = "") -> LotsPage:
    """Return one page of lots; four queries.

    after, before  the place of a lot, as the page gave it
    """
    lots = SampleLot.objects.filter(job=job)
    counts = dict(lots.order_by().values_list("state").annotate(count=Count("id")))
    wanted = lots.filter(state=state) if state else lots
    page = cut(wanted.values_list(*COLUMNS), KEYS, after=_place(after), before=_place(before), most=PAGE)
    rows = tuple(LotRow(*row) for row in page.rows)
    return LotsPage(
        rows=rows,
        counts=tuple((one, counts.get(one, 0)) for one in STATES),
        unnamed=tuple(_unnamed(Library(job))),
        is_stale=Joint.objects.filter(job=job, is_stale=True).exists(),
        previous=rows[0].place if rows and page.has_previous else "",
        next=rows[-1].place if rows and page.has_next else "",
    )


def _place(written: str) -> Place | None:
    return (written,) if written else None


def lots_of(job: Job, joint_ids: Collection[UUID] | None) -> list[Lot]:
    """Return the lots in which any of these joints has a place, all of the job's where None; at most ten queries."""
    return sorted(lots_touching(job, joint_ids, Library(job)), key=place)


def _unnamed(library: Library) -> list[str]:
    """Rules that ask a share and name no lot that is known, each as a sentence."""
    told = []
    for row in (row for rows in library.exam_rules.values() for row in rows if row.share_percent < 100):
        if parse_basis(row.lot_basis, row.lot_size) is None:
            asks = f"The plan {row.plan.name} asks {row.method} of {plain(row.share_percent)} % of"
            names = f"its lot basis “{row.lot_basis}” is not known" if row.lot_basis.strip() else "names no lot"
            held = f"so that no sample is held; accepted are {', '.join(BASES)}"
            told.append(f"{asks} {row.joint_kind} welds and {names}, {held}.")
    return told


def lot_stored(job: Job, rule: UUID, key: UUID) -> Lot | None:
    """Return a lot of an exam rule, None where there is none; six queries."""
    row = SampleLot.objects.filter(job=job, rule=rule, id=key).select_related("job", "rule__plan").first()
    return with_welds(row) if row else None


def welds_page(lot: Lot, *, after: str = "", before: str = "") -> Page[LotWeld]:
    """Return at most PAGE welds of a lot, after or before one of them; a weld that left it begins at the start."""
    places = {one.id: place for place, one in enumerate(lot.welds)}
    after, before = after.replace("-", ""), before.replace("-", "")
    start = places[after] + 1 if after in places else max(0, places[before] - PAGE) if before in places else 0
    rows = lot.welds[start : start + PAGE]
    return Page(
        rows=rows,
        previous=UUID(rows[0].id) if rows and start else None,
        next=UUID(rows[-1].id) if start + PAGE < len(lot.welds) else None,
    )


def next_steps(lot: Lot) -> list[str]:
    """What is to be done about a lot next, each as a sentence."""
    told = [told_extra(lot, one) for one in lot.extras if one.due]
    if lot.short:
        told.append(told_short(lot))
        if lot.to_pick:
            told.append(f"Pick {lot.to_pick} more.")
        if lot.pending:
            told.append(f"{lot.pending} picked and not examined yet.")
    return told
