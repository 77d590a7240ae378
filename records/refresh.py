"""Derive state and findings of joints again from their records; nothing else writes those columns."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from operator import attrgetter
from typing import Any
from uuid import UUID

from records import bulk
from records.clock import today_on
from records.collecting import uncollected
from records.facts import COLUMNS, OF_JOINT, Library, in_batches, job_facts, joint_facts, when, withdrawn_ids
from records.gathering import gathered
from records.held import HeldJoints
from records.kept import Kept
from records.locking import lock_joints, lock_lots
from records.lookups import Keys
from records.lot_refresh import refresh_lots
from records.meanwhile import unhurried
from records.models import (
    Assignment,
    Examination,
    Finding,
    FitUp,
    Job,
    Joint,
    Override,
    Pass,
    Pick,
    PieceEvent,
    Release,
    RepairDecision,
    Withdrawal,
)
from records.models.base import Record
from records.outbox import Watch
from records.sorting import natural_key
from records.standing import standing_on
from records.storing import stored_finding
from rules.facts import JobFacts, JointFacts, People
from rules.finding import CORRECT, NOTE, STOP, Derived
from rules.finding import Finding as RuleFinding
from rules.judge import judged as judge

# Joints that are judged together, and those whose records need not be read.
SOME, MANY = 2_000, 5_000
# What bears on a joint's judgment, and is read back even where the batch has just written it.
_NOT_KEPT: tuple[type[Record], ...] = (Withdrawal, Assignment, Override, Pick)
LENGTHS = {"stamps": 120, "due": 80, "next_step": 40}


@dataclass(slots=True)
class Judged:
    """What the records of one joint say: its derived columns, and its findings as rows."""

    joint_id: UUID
    columns: tuple[Any, ...]
    findings: list[Finding]

    @property
    def stood(self) -> tuple[str, str]:
        """State and attempt."""
        return self.columns[0], self.columns[1]


@dataclass(slots=True)
class _Known:
    """What judging a batch of joints needs, read from the database."""

    facts: Mapping[UUID, JointFacts]
    settings: JobFacts
    people: People
    assigned: Mapping[UUID, UUID]
    overrides: Mapping[UUID, Sequence[Override]]
    recorded: Mapping[str, datetime]


def refresh(job: Job, joint_ids: Iterable[UUID], *, today: date | None = None, kept: Kept | None = None) -> None:
    """Derive joints again and store what follows, in the caller's transaction; constant queries per 2,000.

    kept  all records of the joints, where they were written just now and are not to be read back

    Everything is read once all joints are locked, the job's settings too: what others changed before shows, and who
    changes it later waits.
    """
    batch_of_work = gathered()
    if batch_of_work is not None:
        batch_of_work.joint_ids.update(dict.fromkeys(joint_ids))
        return
    ids = sorted(set(joint_ids), key=attrgetter("int"))
    if not ids:
        return
    lock_lots(job)
    for batch in in_batches(ids):
        lock_joints(job, batch)
    if kept is None:
        job = Job.objects.get(pk=job.pk)
    library = Library(job)
    people = library.people() if len(ids) > 1 else None
    watch = Watch(job)
    with uncollected(), unhurried():
        rows: list[tuple[Any, ...]] = []
        for batch in in_batches(ids, MANY if kept else SOME):
            known = _known(job, batch, library, people, today, kept)
            # The joints judged before are stored while these are judged; before any are, references are checked.
            if rows:
                bulk.update(Joint, Joint.DERIVED, rows)
            else:
                bulk.check_references(len(batch))
            judged = _judge(job, known)
            before = Finding.objects.filter(joint_id__among=Keys(batch))
            watch.before(before)
            before.delete()
            found = [finding for one in judged for finding in one.findings]
            bulk.insert(found)
            watch.now(found)
            rows = [(one.joint_id, *one.columns) for one in judged]
        bulk.update(Joint, Joint.DERIVED, rows)
        refresh_lots(job, ids, library, watch)
        watch.tell()


def refresh_held(job: Job, held: HeldJoints, kept: Kept | None) -> None:
    """Derive joints that are made in one batch with their job, and write each as it then stands.

    kept  all their records, none where there are none
    """
    ids = held.take()
    if any(model._default_manager.filter(job=job).exists() for model in _NOT_KEPT):
        held.write()
        refresh(job, ids, kept=kept)
        return
    library, watch = Library(job), Watch(job)
    people, settings = library.people(), job_facts(job, today_on(job))
    read, kept = held.reader(OF_JOINT), kept or Kept(COLUMNS)
    with uncollected(), unhurried():
        for batch in in_batches(ids, MANY):
            facts = joint_facts(library, batch, gone=set(), kept=kept, rows=read(batch))
            judged = _judge(job, _Known(facts, settings, people, {}, {}, {}))
            held.write({one.joint_id: one.columns for one in judged})
            bulk.insert([finding for one in judged for finding in one.findings])
            bulk.check_references(len(batch))
        refresh_lots(job, ids, library, watch)


def judge_joints(
    job: Job, joint_ids: Sequence[UUID], *, library: Library, people: People | None = None
) -> list[Judged]:
    """Derive a batch of joints from their records without storing anything.

    library  where it leaves out what is dated after a day, they are judged on that day
    """
    return _judge(job, _known(job, joint_ids, library, people, library.until if library.until < date.max else None))


def _known(
    job: Job,
    joint_ids: Sequence[UUID],
    library: Library,
    people: People | None,
    today: date | None,
    kept: Kept | None = None,
) -> _Known:
    gone = withdrawn_ids(joint_ids)
    facts = joint_facts(library, joint_ids, gone=gone, kept=kept)
    if people is None:
        people = library.people(_stamps_named(library, facts.values()))
    overrides = _overrides(joint_ids, gone, library.until)
    return _Known(
        facts=facts,
        settings=job_facts(job, today or today_on(job), until=library.until),
        people=people,
        assigned=_assigned(joint_ids, gone, library.until),
        overrides=overrides,
        recorded=_recorded({key: facts[key] for key in overrides if key in facts}),
    )


def _judge(job: Job, known: _Known) -> list[Judged]:
    """Judge what was read; no query."""
    return [_judged(job, joint_id, joint, known) for joint_id, joint in known.facts.items()]


def _judged(job: Job, joint_id: UUID, joint: JointFacts, known: _Known) -> Judged:
    derived, told = judge(joint, known.settings, known.people)
    overrides = known.overrides.get(joint_id, ())
    days, last_on = _days(joint) if told else {}, _last_day(joint)
    # The same as the joint's own sort key, which is made of the same names.
    joint_key = natural_key(*joint.key.rsplit("/", 2)) if told else ""
    found = [
        stored_finding(
            job,
            joint_id,
            one,
            _covering(one, overrides, known.recorded),
            joint_key=joint_key,
            since=days.get(one.record, last_on),
        )
        for one in told
    ]
    return Judged(joint_id, _columns(joint, derived, found, known.assigned.get(joint_id), last_on), found)


def _columns(
    joint: JointFacts, derived: Derived, found: Sequence[Finding], assigned: UUID | None, last_on: date | None
) -> tuple[Any, ...]:
    """The derived columns in the order of Joint.DERIVED."""
    open_of = {STOP: 0, CORRECT: 0, NOTE: 0}
    for finding in found:
        open_of[finding.severity] += finding.override_id is None
    return (
        derived.state,
        derived.attempt,
        len(derived.attempts),
        derived.next_step[: LENGTHS["next_step"]],
        int(derived.progress * 100),
        ", ".join(derived.due)[: LENGTHS["due"]],
        stamps_shown(joint, derived.attempt),
        assigned,
        derived.welded_on,
        derived.accepted_on,
        derived.released_on,
        last_on,
        open_of[STOP],
        open_of[CORRECT],
        open_of[NOTE],
        derived.waits,
        False,
    )


def stamps_shown(joint: JointFacts, attempt: str) -> str:
    """The stamps of an attempt's passes, each once, in the order of the passes."""
    stamps = dict.fromkeys(one.stamp for one in joint.passes if one.attempt == attempt)
    return ", ".join(stamps)[: LENGTHS["stamps"]]


def _days(joint: JointFacts) -> dict[str, date]:
    """The day of each record of a joint, by its id."""
    return {record.id: record.done_on for group in _records_of(joint) for record in group}


def _last_day(joint: JointFacts) -> date | None:
    return max((record.done_on for group in _records_of(joint) for record in group), default=None)


def _records_of(joint: JointFacts) -> tuple[Sequence[Any], ...]:
    return joint.fit_ups, joint.passes, joint.examinations, joint.repairs, joint.releases


def _stamps_named(library: Library, joints: Iterable[JointFacts]) -> set[UUID]:
    named = {one.stamp for joint in joints for one in joint.passes}
    named |= {one.tack_stamp for joint in joints for one in joint.fit_ups if one.tack_stamp}
    return {key for key, code in library.stamps.items() if code in named} if named else set()


def _assigned(joint_ids: Sequence[UUID], gone: set[UUID], until: date) -> dict[UUID, UUID]:
    """The latest assignment of each joint up to a day."""
    rows = standing_on(Assignment.objects.filter(joint_id__among=Keys(joint_ids)), until, gone)
    standing = sorted((row for row in rows.order_by("recorded_at", "id") if row.id not in gone), key=when)
    return {row.joint_id: row.stamp_id for row in standing}


def _overrides(joint_ids: Sequence[UUID], gone: set[UUID], until: date) -> dict[UUID, list[Override]]:
    """The overrides that stand up to a day, by joint; where several cover a finding the first of them does."""
    found: dict[UUID, list[Override]] = defaultdict(list)
    rows = standing_on(Override.objects.filter(joint_id__among=Keys(joint_ids)), until, gone)
    for row in rows.order_by("recorded_at", "id"):
        if row.id not in gone:
            found[row.joint_id].append(row)
    return found


def _recorded(joints: Mapping[UUID, JointFacts]) -> dict[str, datetime]:
    """When each record of these joints was written down, and each that speaks against their pieces; six queries."""
    keys = Keys(joints)
    found: dict[str, datetime] = {}
    for model in (FitUp, Pass, Examination, RepairDecision, Release) if joints else ():
        rows = model._default_manager.filter(joint_id__among=keys).values_list("id", "recorded_at")
        found |= {str(key): at for key, at in rows}
    if events := {event for joint in joints.values() for event in _against_pieces(joint)}:
        written = PieceEvent.objects.filter(id__in=events).values_list("id", "recorded_at")
        found |= {str(key): at for key, at in written}
    return found


def _against_pieces(joint: JointFacts) -> Iterable[str]:
    """The ids of the records that speak against a joint's pieces."""
    for piece in (joint.piece_a, joint.piece_b):
        if piece:
            yield from (one.id for one in (*piece.holds, piece.scrapped, piece.unmarked) if one)


def _covering(finding: RuleFinding, overrides: Sequence[Override], recorded: Mapping[str, datetime]) -> UUID | None:
    """The override that covers a finding: of its code and attempt, and not written before the record it speaks of.

    Whoever decides to go on despite one pass has not seen the next one, which must be looked at by itself.
    """
    for row in overrides:
        at = recorded.get(finding.record)
        if (row.code, row.attempt) == (finding.code, finding.attempt) and (at is None or at <= row.recorded_at):
            return row.id
    return None
