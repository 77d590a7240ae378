"""Import a job workbook: read every sheet, resolve what they name, plan the change, write it whole or not at all."""

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from django.db import transaction

from office.importing import plan_sheets, record_sheets
from office.importing.applying import apply, take_part
from office.importing.archive import Unreadable
from office.importing.changes import Changes, Count
from office.importing.columns import header
from office.importing.confirmations import take_confirmations
from office.importing.corrections import Corrections
from office.importing.facts import Facts
from office.importing.faults import CellFault, Faults
from office.importing.forms import BY_NAME, slip_of
from office.importing.job_sheet import JobPlan, plan_job, setting_of
from office.importing.joint_rows import take_joints
from office.importing.known import Known
from office.importing.naming import Naming
from office.importing.own_names import OwnNames
from office.importing.own_rows import peek, read_by
from office.importing.owner_limits import take_specification
from office.importing.parsers import Setting
from office.importing.pass_table import PassTable
from office.importing.plan import Plan
from office.importing.routes import take_routes
from office.importing.shop_facts import ShopFacts
from office.importing.sources import Source, open_source
from office.importing.tables import Table, read_table
from office.importing.telling import Shown, first_rows
from office.importing.withdrawals import Withdrawals
from records import journal
from records.batch import together
from records.collecting import uncollected
from records.models import Job, User
from records.retrying import retried
from records.work import Tell

_FACTS = (
    "Fit-ups",
    "Passes",
    "Examinations",
    "Repairs",
    "Releases",
    "Overrides",
    "Assignments",
    "Picks",
    "Attendances",
)
_ON_JOINTS = (record_sheets.WELD_LOG, record_sheets.CORRECTIONS, record_sheets.WITHDRAWALS)


@dataclass(slots=True)
class Outcome:
    """What an import found and did."""

    faults: list[str] = field(default_factory=list)
    notices: list[str] = field(default_factory=list)
    changed: list[str] = field(default_factory=list)
    counts: dict[str, Count] = field(default_factory=dict)
    refused: dict[str, int] = field(default_factory=dict)
    places: list[CellFault] = field(default_factory=list)
    first: dict[str, Shown] = field(default_factory=dict)
    seen: dict[str, list[list[str]]] = field(default_factory=dict)
    is_new_job: bool = False
    is_changed: bool = False
    head: str = ""
    entries: int = 0


@dataclass(frozen=True, slots=True)
class Manner:
    """How an import goes about it.

    only_check  find every fault and say what would change, but write nothing
    judge       False leaves joints marked stale, to be derived later
    reason      why, as the journal keeps it; the name of the file where nothing is said
    found       hears what was found before anything is written, and may refuse by raising
    tell        hears how far it is
    names       what the file's own sheets and headings mean
    """

    only_check: bool = False
    judge: bool = True
    reason: str = ""
    found: Callable[[Outcome], None] = lambda outcome: None
    tell: Tell = lambda step, done=0, total=0: None
    names: OwnNames = OwnNames()


class NoSuchJob(Exception):
    """The job is not there, and nobody asked to make it."""


def import_workbook(
    path: Path, code: str, *, by: User | None, may_create: bool = False, only_check: bool = False, judge: bool = True
) -> Outcome:
    """Import a workbook into a job, all or nothing; importing the same again changes nothing.

    by          who imports; None is the site's own account for imports
    may_create  make the job where there is none of this code
    only_check  find every fault and say what would change, but write nothing
    judge       False leaves joints marked stale, to be derived later
    Raises      NoSuchJob, FileNotFoundError, NotAllowed, Busy
    """
    return import_in_manner(path, code, Manner(only_check=only_check, judge=judge), by=by, may_create=may_create)


@retried
@uncollected()
def import_in_manner(path: Path, code: str, manner: Manner, *, by: User | None, may_create: bool = False) -> Outcome:
    """Import a workbook as `import_workbook` does, telling how far it is.

    Raises  NoSuchJob, FileNotFoundError, NotAllowed, Busy, and what `manner` raises
    """
    outcome = Outcome()
    faults = Faults()
    stored = Job.objects.filter(code=code).first()
    if stored is None and not may_create:
        raise NoSuchJob(f"There is no job {code}; add --create to make it, or name one that there is.")
    try:
        source = read_by(manner.names, open_source(path), outcome.seen)
        names = _sheets(source, faults, manner.names)
        job_plan, setting, tables = _read(source, names, code, stored, faults, manner.tell)
    except Unreadable as error:
        told = str(error).removeprefix(f"{path.name} ")
        outcome.faults = [f"{path.name}: {told}"]
        outcome.places = [CellFault(path.name, 0, 0, told)]
        manner.found(outcome)
        return outcome
    with transaction.atomic():
        if stored:
            # One import of a job at a time; the records that people make meanwhile are not held up.
            Job.objects.select_for_update(no_key=True).get(pk=stored.pk)
        _plan_and_write(path, job_plan, setting, tables, faults, outcome, by, manner)
    return outcome


def _sheets(source: Source, faults: Faults, own: OwnNames) -> dict[str, list[str]]:
    """The sheets to read, by the name of their form; unknown ones are reported, slips of the pen are at fault.

    A form has several only where they are parts of one sheet of the file.
    """
    faults.parts = source.parts
    found: dict[str, list[str]] = {}
    for name in source.readers:
        form = BY_NAME[header(source.parts[name].form)] if name in source.parts else own.form_of(name)
        if own.is_left_out(name):
            faults.notice(f"{name}: it was said to be no sheet of the job; it was skipped")
        elif form is None:
            meant = slip_of(name)
            if meant and meant not in {known.name for one in source.readers if (known := own.form_of(one))}:
                faults.whole(name, f"there is no such sheet; did you mean {meant}?")
            else:
                faults.notice(f"{name}: there is no such sheet in a job workbook; it was skipped")
        elif form.name in found and source.sheet_of(name) != source.sheet_of(found[form.name][0]):
            faults.whole(name, f"the sheet {form.name} stands twice, as {found[form.name][0]} too; accepted is one")
        else:
            found.setdefault(form.name, []).append(name)
    for name in source.skipped:
        faults.notice(f"{name}: is no .csv file; it was skipped")
    read = {name for names in found.values() for name in names} | source.parts.keys()
    damaged = peek(source, [name for name in source.readers if name not in read])
    if not found and not faults:
        if damaged:
            raise damaged[0]
        raise Unreadable(
            "holds no sheet of a job workbook; accepted are sheets such as Lines, Joints, Weld log and Examinations, or"
            " your own once you say on the page of the check what they mean"
        )
    return found


def _read(
    source: Source, names: dict[str, list[str]], code: str, stored: Job | None, faults: Faults, tell: Tell
) -> tuple[JobPlan, Setting, dict[str, Table]]:
    """Read every sheet, the job's own first: it says in which units and time zone the others are written."""
    tables: dict[str, Table] = {}
    first = setting_of(stored or Job(code=code, name=code))
    for name in names.get(plan_sheets.JOB.name, ()):
        tables[plan_sheets.JOB.name] = read_table(
            plan_sheets.JOB, name, source.rows(name), first, faults, source.is_delimited
        )
    job_plan = plan_job(code, tables.get(plan_sheets.JOB.name), stored, faults)
    setting = setting_of(job_plan.job)
    for place, (form_name, parts) in enumerate(names.items()):
        tell(f"Reading {parts[0]}"[:120], place, len(names))
        for name in parts if form_name != plan_sheets.JOB.name else ():
            form = BY_NAME[header(form_name)]
            table = read_table(form, name, source.rows(name), setting, faults, source.is_delimited)
            if form_name in tables:
                tables[form_name].put_behind(table)
            else:
                tables[form_name] = table
    return job_plan, setting, tables


def _plan_and_write(
    path: Path,
    job_plan: JobPlan,
    setting: Setting,
    tables: dict[str, Table],
    faults: Faults,
    outcome: Outcome,
    by: User | None,
    manner: Manner,
) -> None:
    manner.tell("Comparing with what is recorded")
    job = job_plan.job
    changes = Changes(job)
    known = Known(job)
    plan = Plan(tables, known, changes, faults)
    plan.take()
    take_joints(plan)
    take_routes(tables.get(plan_sheets.ROUTES.name), known, changes)
    take_specification(tables.get(plan_sheets.SPECIFICATION.name), job, changes)
    facts, corrections, withdrawals = _take_facts(tables, known, changes, setting)
    ShopFacts(known, changes, facts).take(tables)
    confirmations = take_confirmations(tables.get(record_sheets.CONFIRMATIONS.name), changes, faults)
    _tell(outcome, job_plan, tables, changes, faults, setting)
    manner.found(outcome)
    if outcome.faults:
        return
    written = (changes.rows, any(facts.drafts.values()), corrections.levels, withdrawals, confirmations, job_plan.told)
    outcome.is_changed = job_plan.is_new or any(written)
    if not outcome.is_changed:
        return
    who = take_part(by)
    tables.clear()  # the largest part of the memory, of no more use
    reason = manner.reason or f"import {path.name}"
    told: dict[str, Any] = {"by": who, "reason": reason, "tell": manner.tell}
    with together(job, judge=manner.judge and not manner.only_check, lasts=not manner.only_check) as left:
        apply(job_plan, changes, facts, corrections, withdrawals, confirmations, **told)
    if manner.only_check:
        transaction.set_rollback(True)
    else:
        outcome.head, outcome.entries = journal.head_of(job), left.entries


def _take_facts(
    tables: dict[str, Table], known: Known, changes: Changes, setting: Setting
) -> tuple[Facts, Corrections, list[Any]]:
    sheets = (*_FACTS, *(form.name for form in _ON_JOINTS))
    known.load_joints(
        drawing for name in sheets if name in tables for drawing in tables[name].column("drawing") if drawing
    )
    facts = Facts(known, changes)
    for name in _FACTS:
        if name in tables:
            facts.take(tables[name])
    if log := tables.get(record_sheets.WELD_LOG.name):
        facts.take_weld_log(log, PassTable(known.job, changes))
    naming = Naming(facts)
    corrections, withdrawals = Corrections(facts, setting, naming), Withdrawals(facts, naming)
    if table := tables.get(record_sheets.CORRECTIONS.name):
        corrections.take(table)
    if table := tables.get(record_sheets.WITHDRAWALS.name):
        withdrawals.take(table)
    return facts, corrections, withdrawals.drafts


def _tell(
    outcome: Outcome, job_plan: JobPlan, tables: dict[str, Table], changes: Changes, faults: Faults, setting: Setting
) -> None:
    outcome.is_new_job = job_plan.is_new
    outcome.faults, outcome.places, outcome.notices = faults.lines(), faults.places(), list(faults.notices)
    outcome.changed = [*job_plan.told, *changes.told]
    for table in tables.values():
        count = changes.count(table.sheet)
        if table.form.name == plan_sheets.JOB.name and any(table.sound):
            count.new, count.changed = int(job_plan.is_new), int(bool(job_plan.told))
            count.unchanged = 1 - count.new - count.changed
            count.show("new" if count.new else "changed" if count.changed else "unchanged", (0,))
        outcome.counts[table.sheet] = count
        outcome.refused[table.sheet] = sum(not is_sound for is_sound in table.sound)
        outcome.first[table.sheet] = first_rows(table, count, setting)
