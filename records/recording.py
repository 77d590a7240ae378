"""The one way in which facts are recorded: permission, plausibility, write once, refresh, journal."""

from collections.abc import Callable, Iterable, Sequence
from datetime import date, datetime, timedelta
from functools import cache
from typing import TypeVar
from uuid import UUID

from django.db import transaction
from django.db.models import CharField, ForeignKey, Model
from django.utils import timezone

from records import journal
from records.clock import local_time, today_on
from records.facts import COLUMNS
from records.gathering import gathered
from records.insert import insert_once
from records.kept import Kept
from records.locking import lock_joints, lock_plan, lock_welders, stamps_on
from records.lookups import Keys
from records.models import FitUp, Job, Joint, Pass, User, Withdrawal
from records.models.base import JointRecord, Master, Record, ShopRecord
from records.permissions import require
from records.refresh import refresh
from records.refusals import Fault, Implausible, RecordClash
from records.retrying import retried
from records.texts import distinct, values

R = TypeVar("R", bound=JointRecord)
# Asked once what it can touch is locked: which further joints are to be derived.
Touched = Callable[[], Iterable[UUID]]
# The columns that name whoever welded or tacked.
STAMPS = {Pass: "stamp_id", FitUp: "tack_stamp_id"}
# A phone's clock may run ahead of the server's by this much before its time is refused.
CLOCK_SLACK = timedelta(minutes=10)
ATTEMPT_FORM = "0 for the original, R1, R2... for repairs, W1, W2... for re-welds after a cut-out"


@retried
def record(
    drafts: Sequence[R],
    *,
    job: Job,
    by: User,
    verb: str,
    check: Callable[[R], Iterable[Fault]],
    also_refresh: Callable[[Sequence[R]], Touched] | None = None,
) -> list[R]:
    """Record facts of one kind on joints of one job; a draft sent again returns the stored record.

    drafts        unsaved rows, each with the id that the client made, its joint, attempt and day
    check         faults of one draft beyond those that every record can have
    also_refresh  returns what to ask for further joints that the new records touch
    Raises        NotAllowed, Implausible (all faults of all drafts), RecordClash
    """
    require(by, job, verb)
    today, latest = today_on(job), timezone.now() + CLOCK_SLACK
    faults = [
        fault for draft in drafts for fault in (*common_faults(draft, job, today=today, latest=latest), *check(draft))
    ]
    if faults:
        raise Implausible.of(*faults)
    batch = gathered()
    # Of a batch that makes the job nothing stays where an action fails: no place to come back to is needed.
    with transaction.atomic(savepoint=batch is None or not batch.opens_job):
        at = timezone.now()
        refuse_foreign(drafts, job)
        _take(drafts, job)
        _belongs(drafts, job)
        stored, new = insert_once(drafts, job=job, by=by, at=at)
        if new:
            _keep(new)
            _judge_again(job, distinct(new, "joint_id"), also_refresh(new) if also_refresh else None)
            journal.append(new, job=job, by=by, at=at)
    return stored


def _take(drafts: Sequence[R], job: Job) -> None:
    """Lock the plan and the welders whom the drafts name, and those on joints where one is corrected; a batch later."""
    column = STAMPS.get(type(drafts[0])) if drafts else None  # type: ignore[call-overload]  # any record may be asked
    welders = distinct(drafts, column) if column else set()
    if any(values(drafts, "replaces_id")):
        welders |= stamps_on({one.joint_id for one in drafts if one.replaces_id})
    batch = gathered()
    if batch is not None:
        batch.welders |= welders
    elif welders:
        lock_plan(job)
        lock_welders(job, welders)


def _keep(new: Sequence[JointRecord]) -> None:
    """Remember what was written in a batch that makes the job and judges it: nothing else is on its joints."""
    batch = gathered()
    if batch is not None and batch.opens_job and batch.judges:
        batch.kept = batch.kept or Kept(COLUMNS)
        batch.kept.keep(new)


def _judge_again(job: Job, joint_ids: set[UUID], touched: Touched | None) -> None:
    batch = gathered()
    if batch is not None and touched:
        batch.touched.append(touched)
        touched = None
    refresh(job, joint_ids | set(touched() if touched else ()))


def common_faults(draft: JointRecord, job: Job, *, today: date, latest: datetime) -> Iterable[Fault]:
    """Yield what can be wrong with any fact on a joint: its attempt, and what can be with any dated fact."""
    if not is_attempt(draft.attempt):
        yield Fault("attempt", f"{draft.attempt!r} is no attempt.", ATTEMPT_FORM)
    yield from dated_faults(draft, job, today=today, latest=latest)


def dated_faults(draft: JointRecord | ShopRecord, job: Job, *, today: date, latest: datetime) -> Iterable[Fault]:
    """Yield what can be wrong with any dated fact: day, time, a correction without a reason, a text too long.

    today   the day at the job's site
    latest  the time now, with some slack for the clocks of phones
    """
    if draft.done_on > today:
        yield Fault(
            "date", f"The date {draft.done_on.isoformat()} is in the future.", f"a day up to {today.isoformat()}"
        )
    elif draft.done_at and draft.done_at > latest:
        shown = local_time(job, draft.done_at).strftime("%Y-%m-%d %H:%M")
        yield Fault("date", f"The time {shown} is in the future.", "a time up to now")
    elif draft.done_on.year < 1990:
        yield Fault("date", f"The date {draft.done_on.isoformat()} is too long ago.", "a day from 1990-01-01")
    if draft.replaces_id and not draft.reason.strip():
        yield Fault("reason", "A correction needs its reason.", "a few words on what was wrong")
    said = draft.__dict__
    for name, longest in text_columns(type(draft)):
        if len(said[name]) > longest:
            word = name.replace("_", " ")
            yield Fault(name, f"The {word} is longer than {longest} characters.", f"up to {longest} characters")


@cache
def text_columns(model: type[Record]) -> tuple[tuple[str, int], ...]:
    """Return (name, greatest length) of every column of short text."""
    fields = [field for field in model._meta.concrete_fields if isinstance(field, CharField)]
    return tuple((field.name, field.max_length or 0) for field in fields if field.max_length)


def is_attempt(text: str) -> bool:
    """Say whether a text is an attempt's label: 0, R1.. or W1.. (below 100)."""
    return text == "0" or (text[:1] in ("R", "W") and text[1:].isdigit() and len(text) <= 3 and text[1] != "0")


def refuse_foreign(drafts: Sequence[Record], job: Job) -> None:
    """Refuse a stamp, piece or filler lot of another job; one query for each kind that came as a bare key."""
    for field in type(drafts[0])._meta.concrete_fields if drafts else ():
        if not isinstance(field, ForeignKey) or field.name == "joint":
            continue
        related: type[Model] = field.related_model  # type: ignore[assignment]  # resolved once the models are loaded
        if not issubclass(related, Master):
            continue
        # What came with its row needs no look: the row says whose it is.
        rows: list[Record] = []
        bare: list[Record] = []
        for draft in drafts:
            (rows if field.is_cached(draft) else bare).append(draft)
        batch = gathered()
        keys = distinct(bare, field.attname) - (batch.own[related] if batch else set())
        known = related._default_manager.filter(job=job, pk__among=Keys(keys)).count() if keys else 0
        owners = {row.job_id for draft in rows if (row := getattr(draft, field.name)) is not None}
        if known < len(keys) or owners - {job.pk}:
            word = str(related._meta.verbose_name)
            raise Implausible(f"This {word} does not exist on this job.", [Fault(field.name, f"Unknown {word}.")])
        if batch:
            batch.own[related] |= keys


def _belongs(drafts: Sequence[R], job: Job) -> None:
    """Refuse a joint of another job, and a correction of a record that is not of this kind and joint."""
    ids, batch = distinct(drafts, "joint_id"), gathered()
    if batch is not None and batch.opens_job:
        ids -= batch.joint_ids.keys()  # made in this batch, on the job that it makes
    known = set(Joint.objects.filter(job=job, id__among=Keys(ids)).values_list("id", flat=True)) if ids else set()
    if ids - known:
        raise Implausible("This joint does not exist on this job.", [Fault("joint", "Unknown joint.")])
    replaced = list(filter(None, values(drafts, "replaces_id")))
    if not replaced:
        return
    if gathered() is None:
        # Whoever withdraws one of them meanwhile waits, or is waited for; a batch locks its joints once, at its end.
        lock_joints(job, [draft.joint_id for draft in drafts if draft.replaces_id])
    model = type(drafts[0])
    places = dict(model._default_manager.filter(id__in=replaced).values_list("id", "joint_id"))
    gone = set(Withdrawal.objects.filter(record__in=replaced).values_list("record", flat=True))
    stored = set(model._default_manager.filter(id__in=[draft.pk for draft in drafts]).values_list("id", flat=True))
    for draft in drafts:
        if draft.replaces_id and places.get(draft.replaces_id) != draft.joint_id:
            raise Implausible("The record to correct is not on this joint.", [Fault("replaces", "Unknown record.")])
        if draft.replaces_id in gone and draft.pk not in stored:
            raise RecordClash("The record to correct was withdrawn; record it anew instead.")
