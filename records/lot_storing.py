"""Keep how the sample of each lot stands, and which joints have a place in it, so that lists need not work it out."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db.models import Q

from records import bulk
from records.lookups import Keys
from records.lots import lots_touching
from records.models import Job, LotPlace, SampleLot
from records.papers import Library
from rules.lots import STATES, Lot

# What tells the lots of a job apart: the owner may set another share for some of a rule's welds.
NAMED = ("rule_id", "name", "share_percent", "asked_by")
TOLD = (
    "state", "sort_key", "welds", "needed", "counted", "pending", "to_pick", "short", "extra_due", "lacking", "steps",
)  # fmt: skip
Name = tuple[UUID, str, Decimal, str]


@dataclass(frozen=True, slots=True)
class _Stored:
    """A lot as it is stored: its key, how it stands in the order of TOLD, and the joints that have a place in it."""

    key: UUID
    told: tuple[Any, ...]
    places: set[UUID]


def store_lots(job: Job, joint_ids: Collection[UUID], library: Library) -> list[Lot]:
    """Judge the lots in which these joints have a place or had one, and store how they stand.

    Returns those in which one has a place, and those that changed: where lots have a size, a weld that comes or goes
    moves those after it. At most fifteen queries, whatever the number of lots, as many again where a joint left one.
    """
    touched = set(joint_ids)
    while True:
        lots = lots_touching(job, touched, library, with_group=True)
        welds = touched.union(UUID(one.id) for lot in lots for one in lot.welds)
        stored = _stored(job, welds)
        left = stored.keys() - set(map(named, lots))
        # Who stood in a lot that is no more, or not of these welds, may stand in another one now.
        others = set().union(*(stored[name].places for name in left)) - welds
        if not others:
            return _write(job, lots, stored, touched)
        touched |= others


def named(lot: Lot) -> Name:
    """What tells a lot apart from all others, as it is stored."""
    return UUID(lot.rule.id), lot.name, lot.rule.share_percent, lot.rule.asked_by


def told(lot: Lot) -> tuple[Any, ...]:
    """How a lot stands, in the order of TOLD."""
    return (
        lot.state, place(lot), len(lot.standing), lot.needed, lot.counted, lot.pending, lot.to_pick, lot.short,
        lot.extra_due, list(lot.lacking), list(lot.steps),
    )  # fmt: skip


def place(lot: Lot) -> str:
    """Where a lot stands among those of its job: by what it asks, then by plan, method and name; no two alike."""
    rule = lot.rule
    words = (rule.plan, rule.method, rule.kind, lot.name, rule.id, f"{rule.share_percent.normalize():f}", rule.asked_by)
    return ".".join((str(STATES.index(lot.state)), *words))


def _stored(job: Job, joints: Iterable[UUID]) -> dict[Name, _Stored]:
    """The stored lots in which any of these joints has a place; two queries."""
    keys = set(LotPlace.objects.filter(joint_id__among=Keys(joints)).values_list("lot_id", flat=True))
    places: dict[UUID, set[UUID]] = defaultdict(set)
    for lot, joint in LotPlace.objects.filter(lot_id__among=Keys(keys)).values_list("lot_id", "joint_id"):
        places[lot].add(joint)
    rows = SampleLot.objects.filter(id__among=Keys(keys), job=job).values_list("id", *NAMED, *TOLD)
    count = 1 + len(NAMED)
    return {row[1:count]: _Stored(row[0], row[count:], places[row[0]]) for row in rows}


def _write(job: Job, lots: Sequence[Lot], stored: dict[Name, _Stored], touched: set[UUID]) -> list[Lot]:
    """Store lots that are not stored as they follow, take away those that do not follow, and return the former and
    those of joints that were touched."""
    new: list[SampleLot] = []
    changed: list[tuple[Any, ...]] = []
    come: list[LotPlace] = []
    gone = Q(pk__in=[])
    found: list[Lot] = []
    for lot in lots:
        before, places = stored.get(named(lot)), {UUID(one.id) for one in lot.welds}
        is_alike = before is not None and (before.told, before.places) == (told(lot), places)
        if not is_alike or places & touched:
            found.append(lot)
        if is_alike:
            continue
        if before is None:
            row = SampleLot(job=job, **dict(zip((*NAMED, *TOLD), (*named(lot), *told(lot)), strict=True)))
            new.append(row)
            before = _Stored(row.id, (), set())
        else:
            changed.append((before.key, *told(lot)))
            if left := before.places - places:
                gone |= Q(lot=before.key, joint__in=left)
        come += [LotPlace(lot_id=before.key, joint_id=joint) for joint in sorted(places - before.places)]
    lost = [stored[name].key for name in stored.keys() - set(map(named, lots))]
    LotPlace.objects.filter(gone | Q(lot__in=lost)).delete()
    SampleLot.objects.filter(id__in=lost).delete()
    bulk.insert(new)
    bulk.update(SampleLot, TOLD, changed)
    bulk.insert(come)
    return found
