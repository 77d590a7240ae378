"""Write what was planned, through the same actions as the pages, in one batch."""

from collections.abc import Callable, Iterator, MutableSequence, Sequence
from typing import Any

from django.utils import timezone

from inspection.actions.confirm_tables import confirm_tables
from inspection.actions.decide_repairs import decide_repairs
from inspection.actions.override_findings import override_findings
from inspection.actions.pick_joints import pick_joints
from inspection.actions.record_attendances import record_attendances
from inspection.actions.record_examinations import record_examinations
from inspection.actions.release_joints import release_joints
from joints.actions.assign_welders import assign_welders
from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.record_lot_moves import record_lot_moves
from joints.actions.record_passes import record_passes
from joints.actions.record_piece_events import record_piece_events
from joints.actions.record_spool_steps import record_spool_steps
from joints.actions.save_plan import save_plan
from joints.actions.withdraw_records import withdraw_records
from office.importing.changes import Changes
from office.importing.corrections import Corrections
from office.importing.facts import Facts
from office.importing.job_sheet import JobPlan
from records import journal
from records.gathering import gathered
from records.models import MASTERS, Job, Joint, Membership, User
from records.permissions import require
from records.refresh import refresh
from records.site_account import USERNAME, site_user
from records.work import Tell

# Drafts that go to an action at once.
BATCH = 5000
_IMPORTERS_ROLES = ("engineer", "administrator")


def _released(drafts: Sequence[Any], *, job: Job, by: User) -> Any:
    return release_joints(drafts, job=job, by=by, as_recorded=True)


def _assigned(drafts: Sequence[Any], *, job: Job, by: User) -> Any:
    return assign_welders(drafts, job=job, by=by, as_recorded=True)


def _overridden(drafts: Sequence[Any], *, job: Job, by: User) -> Any:
    return override_findings(drafts, job=job, by=by, as_recorded=True)


def _attended(drafts: Sequence[Any], *, job: Job, by: User) -> Any:
    return record_attendances(drafts, job=job, by=by, as_recorded=True)


_ACTIONS: dict[str, Callable[..., Any]] = {
    "Assignments": _assigned,
    "Fit-ups": record_fit_ups,
    "Passes": record_passes,
    "Examinations": record_examinations,
    "Repairs": decide_repairs,
    "Picks": pick_joints,
    "Attendances": _attended,
    "Releases": _released,
    "Piece events": record_piece_events,
    "Spool steps": record_spool_steps,
    "Lot moves": record_lot_moves,
    # Last: an override covers what stood when it was written.
    "Overrides": _overridden,
}


def take_part(by: User | None) -> User:
    """Return who imports: the person named, or the site's own account, which nobody can sign in with."""
    return site_user() if by is None else by


def apply(
    job_plan: JobPlan,
    changes: Changes,
    facts: Facts,
    corrections: Corrections,
    withdrawals: list[Any],
    confirmations: Sequence[Any],
    *,
    by: User,
    reason: str,
    tell: Tell,
) -> None:
    """Write the job, the plan's rows, the facts, their corrections and withdrawals, inside `records.batch.together`.

    Raises NotAllowed where the person's role does not include what the workbook holds
    """
    job = job_plan.job
    _write_job(job_plan, by, reason)
    for model in MASTERS:
        for batch in _batches(changes.rows.pop(model, [])):
            tell("Writing the plan")
            save_plan(batch, job=job, by=by, reason=reason)
    total = sum(map(len, facts.drafts.values())) + corrections.size
    written = 0
    for drafts, action in _in_turn(facts, corrections):
        for batch in _batches(drafts):
            tell("Writing the records", written, total)
            action(batch, job=job, by=by)
            written += len(batch)
    for batch in _batches(withdrawals):
        withdraw_records(batch, job=job, by=by, as_recorded=True)
    if confirmations:
        confirm_tables(confirmations, job=job, by=by)
    tell("Working out states and findings")


def _in_turn(facts: Facts, corrections: Corrections) -> Iterator[tuple[MutableSequence[Any], Callable[..., Any]]]:
    """Yield drafts with their action, turn after turn; in each the facts, their corrections, and last the overrides.

    What is written in a later turn, no override of an earlier one covers, and it comes after what fell on its instant.
    """
    lists = {sheet: [facts.drafts.pop(sheet, []), *corrections.levels.get(sheet, ())] for sheet in _ACTIONS}
    if not facts.turns:
        yield from ((drafts, action) for sheet, action in _ACTIONS.items() for drafts in lists[sheet])
        return
    found: dict[tuple[int, int, int], list[Any]] = {}
    for place, sheet in enumerate(_ACTIONS):
        for level, drafts in enumerate(lists[sheet]):
            for draft in drafts:
                found.setdefault((facts.turns.get(draft.pk, 0), place, level), []).append(draft)
    actions = list(_ACTIONS.values())
    for key in sorted(found):
        yield found[key], actions[key[1]]


def _write_job(job_plan: JobPlan, by: User, reason: str) -> None:
    job, at, batch = job_plan.job, timezone.now(), gathered()
    if batch:
        batch.opens_job = job_plan.is_new
    if job_plan.is_new:
        job.save(force_insert=True)
        journal.open_journal(job)
        journal.append([job], job=job, by=by, at=at, reason=reason)
    if job_plan.is_new or by.username == USERNAME:
        held = set(Membership.objects.filter(job=job, user=by).values_list("role", flat=True))
        roles = [Membership(job=job, user=by, role=role) for role in _IMPORTERS_ROLES if role not in held]
        Membership.objects.bulk_create(roles)
        journal.append(roles, job=job, by=by, at=at, reason=reason)
    if job_plan.told and not job_plan.is_new:
        require(by, job, "plan")
        job.save(force_update=True)
        journal.append([job], job=job, by=by, at=at, reason=reason)
        if batch:
            batch.changes_plan = True
        refresh(job, Joint.objects.filter(job=job).values_list("id", flat=True))


def _batches(rows: MutableSequence[Any]) -> Iterator[Sequence[Any]]:
    """Take rows from the front of a list, so that those written are let go."""
    rows.reverse()
    while rows:
        batch = rows[-BATCH:]
        del rows[-BATCH:]
        batch.reverse()
        yield batch
