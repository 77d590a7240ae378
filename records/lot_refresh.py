"""Store what lots say of their welds: findings on every joint of a lot, whichever of them a record was about."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import date
from uuid import UUID

from django.db.models import Count

from records import bulk
from records.lookups import Keys
from records.lot_storing import NAMED, TOLD, named, store_lots, told
from records.lots import lots_touching
from records.models import Finding, Job, Joint, LotPlace, Override, SampleLot, Withdrawal
from records.outbox import Watch
from records.papers import Library
from records.standing import standing_on
from records.storing import stored_finding
from rules.finding import STOP
from rules.finding import Finding as RuleFinding
from rules.lots import LOT_CODES, Lot, lot_called, lot_findings

COMPARED = ("attempt", "code", "message", "measured", "limit", "subject")


def refresh_lots(job: Job, joint_ids: Collection[UUID], library: Library, watch: Watch) -> None:
    """Judge the lots in which these joints have a place and store what follows, in the caller's transaction.

    At most twenty-one queries, whatever the number of lots, and ten more where a joint left one; two where none of the
    joints has a place in a lot yet, one where no plan names a lot. Runs after the joints were derived: their
    states say which of them stand.
    """
    lots = store_lots(job, joint_ids, library)
    if not lots:
        return
    members = {UUID(one.id) for lot in lots for one in lot.welds}
    keys = Keys(members)
    before = Finding.objects.filter(joint_id__among=keys, code__in=LOT_CODES)
    watch.before(before)
    before.delete()
    overrides = _overrides(keys)
    known = Joint.objects.filter(id__among=keys).values_list("id", "stops", "sort_key", "last_on")
    joints = {key: (stops, sort_key, last_on) for key, stops, sort_key, last_on in known}
    rows = []
    for joint, one in _findings(lots):
        _, sort_key, last_on = joints[joint]
        override = overrides.get((joint, one.code, one.attempt))
        rows.append(stored_finding(job, joint, one, override, joint_key=sort_key, since=last_on))
    bulk.insert(rows)
    watch.now(rows)
    counted = Finding.objects.filter(joint_id__among=keys, severity=STOP, override__isnull=True).order_by()
    stops = dict(counted.values_list("joint_id").annotate(count=Count("id")))
    changed = [(joint, stops.get(joint, 0)) for joint, (count, *_) in joints.items() if count != stops.get(joint, 0)]
    bulk.update(Joint, ("stops",), changed)


def lots_said(job: Job, library: Library, stood: Mapping[UUID, tuple[str, str]]) -> dict[UUID, list[Finding]]:
    """What the lots of a job said of each joint on the day of the library; nothing is stored.

    stood  state and attempt of every joint on that day
    """
    lots = lots_touching(job, None, library, stood=stood)
    overrides = _overrides(Keys({UUID(one.id) for lot in lots for one in lot.welds}), library.until)
    found: dict[UUID, list[Finding]] = defaultdict(list)
    for joint, one in _findings(lots):
        override = overrides.get((joint, one.code, one.attempt))
        found[joint].append(stored_finding(job, joint, one, override, joint_key="", since=None))
    return found


def lot_differences(job: Job, library: Library) -> Iterator[str]:
    """Yield one sentence for each lot that is not stored as it follows, and for each joint of which one says else."""
    lots = lots_touching(job, None, library)
    yield from _unlike(job, lots)
    derived: dict[UUID, list[tuple[str, ...]]] = defaultdict(list)
    for joint, one in _findings(lots):
        derived[joint].append(tuple(str(getattr(one, name)) for name in COMPARED))
    stored: dict[UUID, list[tuple[str, ...]]] = defaultdict(list)
    rows = Finding.objects.filter(job=job, code__in=LOT_CODES)
    for joint, *said in rows.values_list("joint_id", *COMPARED):
        stored[joint].append(tuple(said))
    different = {key for key in derived | stored if sorted(derived[key]) != sorted(stored[key])}
    for row in Joint.objects.filter(id__in=different).select_related("sheet").order_by("sort_key"):
        yield f"Joint {row.sheet}/{row.number}: the stored findings of its lots differ from those that follow."


def _unlike(job: Job, lots: Iterable[Lot]) -> Iterator[str]:
    places: dict[UUID, set[UUID]] = defaultdict(set)
    for key, joint in LotPlace.objects.filter(lot__job=job).values_list("lot_id", "joint_id"):
        places[key].add(joint)
    rows = SampleLot.objects.filter(job=job).values_list("id", *NAMED, *TOLD)
    stored = {row[1 : 1 + len(NAMED)]: (row[1 + len(NAMED) :], places[row[0]]) for row in rows}
    follow = {named(lot): (told(lot), {UUID(one.id) for one in lot.welds}) for lot in lots}
    for name in sorted(stored.keys() | follow.keys(), key=str):
        if stored.get(name) != follow.get(name):
            yield f"The {lot_called(name[1])}: it is stored otherwise than it follows from its welds."


def _findings(lots: Iterable[Lot]) -> Iterator[tuple[UUID, RuleFinding]]:
    return ((UUID(weld.id), one) for lot in lots for weld, one in lot_findings(lot))


def _overrides(keys: Keys, day: date = date.max) -> dict[tuple[UUID, str, str], UUID]:
    """The first standing override of each joint, code and attempt up to a day; one query."""
    withdrawn = set(_withdrawn(keys))
    rows = standing_on(Override.objects.filter(joint_id__among=keys, code__in=LOT_CODES), day, withdrawn)
    found: dict[tuple[UUID, str, str], UUID] = {}
    for key, joint, code, attempt in rows.order_by("recorded_at", "id").values_list(
        "id", "joint_id", "code", "attempt"
    ):
        if key not in withdrawn:
            found.setdefault((joint, code, attempt), key)
    return found


def _withdrawn(keys: Keys) -> Sequence[UUID]:
    return list(Withdrawal.objects.filter(joint_id__among=keys, kind="override").values_list("record", flat=True))
