"""The filler lots of a job: who has how much of what out."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from django.db.models import Count, Q, QuerySet, Sum

from joints.queries.joint_history import Entry
from joints.queries.shop_history import lot_history
from records.models import FillerLot, Job, LotMove, Pass
from records.paging import Page, cut_by_id
from records.shop_facts import standing_records
from rules.filler_quantity import show_filler

PAGE = 50
KEYS = ("number", "id")
COLUMNS = (*KEYS, "classification", "diameter_mm", "heat", "certificate_id", "certificate__number")
NOTHING = Decimal(0)


@dataclass(frozen=True, slots=True)
class Held:
    """What one welder has of a lot; `is_too_much` where more came back than went out."""

    stamp_id: UUID
    stamp: str
    name: str
    out: str
    is_too_much: bool
    moves: int


@dataclass(frozen=True, slots=True)
class LotRow:
    """One lot as the list shows it, with the welders who have some of it out."""

    id: UUID
    number: str
    classification: str
    diameter_mm: Decimal | None
    heat: str
    certificate_id: UUID | None
    certificate: str
    held: tuple[Held, ...]
    moves: int


@dataclass(frozen=True, slots=True)
class LotShown:
    """Everything about one lot: who has what, every move, and how many joints were welded with it."""

    lot: FillerLot
    held: tuple[Held, ...]
    entries: tuple[Entry, ...]
    joints: int


def lots_page(job: Job, *, search: str = "", after: UUID | None = None, before: UUID | None = None) -> Page[LotRow]:
    """Return one page of lots by number; two queries, one more to page from a lot."""
    lots = FillerLot.objects.filter(job=job)
    page = cut_by_id(lots_wanted(lots, search).values_list(*COLUMNS), KEYS, lots, after=after, before=before, most=PAGE)
    held = held_of(job, [row[1] for row in page.rows])
    rows = tuple(
        LotRow(key, number, kind, diameter, heat, paper, name or "", _out(held.get(key, ())), _moves(held.get(key, ())))
        for number, key, kind, diameter, heat, paper, name in page.rows
    )
    return Page(rows, *page.ends([one.id for one in rows]))


def lots_wanted(lots: QuerySet[FillerLot], search: str) -> QuerySet[FillerLot]:
    """Narrow filler lots to those that match, without order."""
    return lots.filter(Q(number__icontains=search) | Q(classification__icontains=search)) if search else lots


def lot_shown(job: Job, lot: FillerLot) -> LotShown:
    """Return everything about a lot; four queries."""
    joints = Pass.objects.filter(job=job, filler_lot=lot).aggregate(count=Count("joint_id", distinct=True))["count"]
    held = held_of(job, [lot.id]).get(lot.id, ())
    return LotShown(lot, tuple(held), tuple(lot_history(job, lot)), joints)


def held_of(job: Job, lot_ids: Iterable[UUID]) -> dict[UUID, list[Held]]:
    """Return who was ever given some of these lots and what each has out, by lot; one query."""
    moves = standing_records(LotMove, job).filter(lot_id__in=list(lot_ids)).order_by()
    sums: dict[tuple[UUID, UUID], dict[str, Decimal]] = defaultdict(lambda: defaultdict(lambda: NOTHING))
    names: dict[UUID, tuple[str, str]] = {}
    counts: dict[tuple[UUID, UUID], int] = defaultdict(int)
    grouped = moves.values_list("lot_id", "stamp_id", "stamp__code", "stamp__welder__name", "move", "unit")
    for lot, stamp, code, name, move, unit, amount, count in grouped.annotate(all=Sum("quantity"), count=Count("id")):
        names[stamp] = (code, name)
        counts[lot, stamp] += count
        if amount is not None:
            sums[lot, stamp][unit] += amount if move == "issued" else -amount
    found: dict[UUID, list[Held]] = defaultdict(list)
    for (lot, stamp), count in sorted(counts.items(), key=lambda one: names[one[0][1]]):
        amounts = {unit: amount for unit, amount in sums[lot, stamp].items() if amount}
        out = ", ".join(show_filler(abs(amount), unit, job.units) for unit, amount in sorted(amounts.items()))
        too_much = any(amount < 0 for amount in amounts.values())
        found[lot].append(Held(stamp, *names[stamp], out, too_much, count))
    return found


def _out(held: Iterable[Held]) -> tuple[Held, ...]:
    return tuple(one for one in held if one.out)


def _moves(held: Iterable[Held]) -> int:
    return sum(one.moves for one in held)
