"""Keep how the sample of each lot stands, and which joints have a place in it, so that lists need not work it out."""

from collections.abc import Collection, Iterable, Sequence
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


def store_lots(job: Job, joint_ids: Collection[UUID], library: Library) -> list[Lot]:
    """Judge the lots in which these joints have a place or had one, store how they stand, and return them.

    At most fifteen queries, whatever the number of lots, and ten more where a joint left one.
    """
    lots = lots_touching(job, joint_ids, library)
    had = set(LotPlace.objects.filter(joint_id__among=Keys(joint_ids)).values_list("lot_id", flat=True))
    if not lots and not had:
        return []
    stored = _stored(job, lots, had)
    left = stored.keys() - set(map(named, lots))
    if left:
        lots += _without(job, {stored[name] for name in left}, lots, library)
    _write(job, lots, stored)
    return lots


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


def _stored(job: Job, lots: Iterable[Lot], had: Collection[UUID]) -> dict[Name, UUID]:
    """The stored lots of these names, and those in which the joints had a place."""
    same = Q(rule__in={lot.rule.id for lot in lots}, name__in={lot.name for lot in lots})
    rows = SampleLot.objects.filter(Q(id__in=had) | same, job=job)
    names = {row[1:]: row[0] for row in rows.values_list("id", *NAMED)}
    wanted = set(map(named, lots))
    return {name: key for name, key in names.items() if name in wanted or key in had}


def _without(job: Job, left: Collection[UUID], lots: Iterable[Lot], library: Library) -> list[Lot]:
    """The further lots of the joints that stay where one of these went away."""
    staying = list(LotPlace.objects.filter(lot__in=left).values_list("joint_id", flat=True))
    known = set(map(named, lots))
    return [lot for lot in lots_touching(job, staying, library) if named(lot) not in known]


def _write(job: Job, lots: Sequence[Lot], stored: dict[Name, UUID]) -> None:
    new: list[SampleLot] = []
    changed: list[tuple[Any, ...]] = []
    now: set[tuple[UUID, UUID]] = set()
    gone = dict(stored)
    for lot in lots:
        key = gone.pop(named(lot), None)
        if key is None:
            values = zip((*NAMED, *TOLD), (*named(lot), *told(lot)), strict=True)
            row = SampleLot(job=job, **dict(values))
            new.append(row)
            key = row.id
        else:
            changed.append((key, *told(lot)))
        now |= {(key, UUID(one.id)) for one in lot.welds}
    before = {row[1:]: row[0] for row in _places(stored.values())}
    LotPlace.objects.filter(id__in=[key for pair, key in before.items() if pair not in now]).delete()
    SampleLot.objects.filter(id__in=gone.values()).delete()
    bulk.insert(new)
    bulk.update(SampleLot, TOLD, changed)
    bulk.insert([LotPlace(lot_id=lot, joint_id=joint) for lot, joint in sorted(now - before.keys())])


def _places(lots: Iterable[UUID]) -> Iterable[tuple[int, UUID, UUID]]:
    return LotPlace.objects.filter(lot_id__among=Keys(lots)).values_list("id", "lot_id", "joint_id")
