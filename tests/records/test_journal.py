"""Whatever is changed, removed, slipped in, swapped, cut or rewritten behind the journal's back is found."""

from collections.abc import Iterator
from hashlib import sha256
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import IntegrityError, connection, models, transaction
from django.utils import timezone

from joints.actions.save_plan import save_plan
from records import journal
from records.immutability import remove_triggers
from records.models import (
    MASTERS,
    RECORDS,
    Attachment,
    FitUp,
    Heat,
    Job,
    JointMark,
    JournalEntry,
    JournalHead,
    Membership,
    Procedure,
    Route,
    Sheet,
    SheetDrawing,
)
from records.verify import first_bad
from tests.records.scene import DAY, every_kind, open_job, weld

ENTRIES = 1000
pytestmark = pytest.mark.usefixtures("own_database")


class Undo(Exception):
    """Ends a tampering so that the next starts from the good journal."""


def tampered(statement: str, parameters: tuple[Any, ...] = ()) -> bool:
    """Run one statement and say whether it was possible and then found; a refused statement has changed nothing."""
    found = None
    try:
        with transaction.atomic():
            with connection.cursor() as cursor:
                cursor.execute(statement, parameters)
                assert cursor.rowcount, statement
            found = first_bad(Job.objects.get())
            assert found is not None, f"not found: {statement}"
            assert found.message
            raise Undo
    except (Undo, IntegrityError):
        return found is not None


def _kept(name: str) -> dict[str, str]:
    """A file in the storage, with the sum of its bytes."""
    return {"file": default_storage.save(name, ContentFile(b"%")), "sha256": sha256(b"%").hexdigest()}


@pytest.fixture
def long_journal() -> Job:
    scene = every_kind()
    route = Route(sheet=Sheet.objects.get(job=scene.job), text="size 1 sch 80\nrun north 1 m\nopen end\n")
    save_plan([route], job=scene.job, by=scene.engineer)
    wps = Attachment(
        kind="WPS", procedure=Procedure.objects.get(job=scene.job), file_name="w.pdf", size=1, **_kept("attachments/w.pdf")
    )  # fmt: skip
    save_plan([wps], job=scene.job, by=scene.engineer)
    drawing = SheetDrawing(sheet=route.sheet, file_name="d.pdf", size=1, pages=[[842, 595]], **_kept("drawings/d.pdf"))
    save_plan([drawing], job=scene.job, by=scene.engineer)
    at = dict.fromkeys(("x_pt", "y_pt", "label_x_pt", "label_y_pt"), 10)
    save_plan([JointMark(drawing=drawing, joint=scene.joints["1"], page=1, **at)], job=scene.job, by=scene.engineer)
    number = journal.head_of(scene.job).split(":")[0]
    for joint in list(scene.joints.values())[3:]:
        weld(scene, joint)
    with transaction.atomic():
        spare = ENTRIES - JournalEntry.objects.count()
        journal.append([scene.heat] * spare, job=scene.job, by=scene.engineer, at=timezone.now(), reason="seen again")
    assert int(number) < JournalEntry.objects.count() == ENTRIES
    assert first_bad(scene.job) is None
    return scene.job


def other_value(field: "models.Field[Any, Any]", table: str) -> str:
    """SQL for a value that differs from the column's own."""
    column = f'"{field.column}"'
    if isinstance(field, models.ForeignKey):
        field = field.target_field
    kind = field.get_internal_type()
    if kind == "UUIDField":
        return "'00000000-0000-7000-8000-000000000000'" if connection.vendor == "postgresql" else f"'{'0' * 32}'"
    if kind == "BooleanField":
        return f"NOT COALESCE({column}, FALSE)"
    if kind in ("DateField", "DateTimeField"):
        return "'2001-01-01'" if kind == "DateField" else "'2001-01-01 00:00:00'"
    if kind == "JSONField":
        return '\'{"x": "1"}\''
    if kind in ("CharField", "TextField", "FileField"):
        return f"substr('x' || COALESCE({column}, ''), 1, {field.max_length or 99})"
    return f"COALESCE({column}, 0) + 1"


def columns() -> "Iterator[tuple[str, models.Field[Any, Any]]]":
    for model in (*RECORDS, *MASTERS, Job, Membership, JournalEntry, JournalHead):
        derived = set(getattr(model, "DERIVED", ()))
        for field in model._meta.concrete_fields:
            if field.name not in derived:
                yield model._meta.db_table, field


def test_finds_each_column_of_each_table_changed(long_journal: Job) -> None:
    remove_triggers(connection)
    free = "SET CONSTRAINTS ALL DEFERRED" if connection.vendor == "postgresql" else "PRAGMA foreign_keys=OFF"
    with connection.cursor() as cursor:
        cursor.execute(free)
    tried = found = 0
    for table, field in columns():
        key = "ctid" if connection.vendor == "postgresql" else "rowid"
        one = f"{key} = (SELECT min({key}) FROM {table})"
        tried += 1
        found += tampered(f'UPDATE {table} SET "{field.column}" = {other_value(field, table)} WHERE {one}')
    # What was not found was refused by the database (a check, a key that is used): nothing changed then.
    assert tried > 200
    assert found > tried * 0.85, f"only {found} of {tried} tamperings were possible"


def test_finds_a_record_deleted(long_journal: Job) -> None:
    remove_triggers(connection)
    assert tampered("DELETE FROM records_confirmation")


def test_finds_an_entry_deleted_and_names_it(long_journal: Job) -> None:
    remove_triggers(connection)
    JournalEntry.objects.filter(number=417).delete()
    bad = first_bad(long_journal)
    assert bad is not None
    assert "entry 417 is missing" in bad.message


def test_finds_a_record_slipped_in(long_journal: Job) -> None:
    fit_up = FitUp.objects.all()[0]
    fit_up.pk, fit_up.attempt = None, "R1"
    FitUp.objects.bulk_create(
        [
            FitUp(
                job=long_journal,
                joint_id=fit_up.joint_id,
                recorded_by_id=fit_up.recorded_by_id,
                done_on=DAY,
                recorded_at=timezone.now(),
            )
        ]
    )
    bad = first_bad(long_journal)
    assert bad is not None
    assert "has no entry in the journal" in bad.message


def test_finds_a_record_changed_and_excused_by_an_entry_added_after(long_journal: Job) -> None:
    fit_up = FitUp.objects.order_by("id").first()
    assert fit_up is not None
    remove_triggers(connection)
    FitUp.objects.filter(id=fit_up.id).update(gap_mm=2)
    fit_up.refresh_from_db()
    with transaction.atomic():
        journal.append([fit_up], job=long_journal, by=fit_up.recorded_by, at=timezone.now())
    found = first_bad(long_journal)
    assert found is not None and "was changed (gap_mm)" in found.message
    assert found.number < ENTRIES


def test_finds_a_row_changed_and_excused_in_the_journal_of_another_job(long_journal: Job) -> None:
    other, engineer = open_job("J-2")
    heat = Heat.objects.get()
    Heat.objects.update(manufacturer="Somebody else")
    heat.refresh_from_db()
    with transaction.atomic():
        journal.append([heat] * (ENTRIES + 1), job=other, by=engineer, at=timezone.now())
    found = first_bad(long_journal)
    assert found is not None and "was changed (manufacturer)" in found.message
    abroad = first_bad(other)
    assert abroad is not None and "belongs to another job" in abroad.message


def test_finds_an_entry_slipped_in(long_journal: Job) -> None:
    last = JournalEntry.objects.get(number=ENTRIES)
    last.number += 1
    last.save(force_insert=True)
    assert first_bad(long_journal) is not None


def test_finds_two_entries_swapped(long_journal: Job) -> None:
    remove_triggers(connection)
    rows = JournalEntry.objects
    rows.filter(number=300).update(number=9999)
    rows.filter(number=301).update(number=300)
    rows.filter(number=9999).update(number=301)
    bad = first_bad(long_journal)
    assert bad is not None
    assert bad.number == 300


def test_finds_two_records_swapped(long_journal: Job) -> None:
    remove_triggers(connection)
    first, second = FitUp.objects.order_by("id")[:2]
    FitUp.objects.filter(id=first.id).update(joint_id=second.joint_id)
    FitUp.objects.filter(id=second.id).update(joint_id=first.joint_id)
    assert first_bad(long_journal) is not None


def test_finds_the_tail_cut_without_the_head_moved(long_journal: Job) -> None:
    remove_triggers(connection)
    JournalEntry.objects.filter(number__gt=990).delete()
    bad = first_bad(long_journal)
    assert bad is not None
    assert bad.number == 991


def rewrite(job: Job, upto: int) -> None:
    """What a tamperer with every right does: cut the tail, and chain the rest anew to a head that fits."""
    JournalEntry.objects.filter(number__gt=upto).delete()
    previous = journal.FIRST
    for entry in JournalEntry.objects.order_by("number"):
        entry.reason += "!"
        entry.previous = previous
        entry.hash = previous = journal.entry_hash(entry)
        JournalEntry.objects.filter(number=entry.number).update(
            reason=entry.reason, previous=entry.previous, hash=entry.hash
        )
    JournalHead.objects.filter(job=job).update(number=upto, hash=previous)


def test_finds_a_chain_rewritten_whole_against_a_known_head(long_journal: Job) -> None:
    known = journal.head_of(long_journal)
    remove_triggers(connection)
    rewrite(long_journal, ENTRIES)
    assert first_bad(long_journal) is None, "without a head from outside this can't be seen"
    bad = first_bad(long_journal, head=known)
    assert bad is not None
    assert bad.number == ENTRIES


def test_finds_a_tail_cut_and_hidden_against_a_known_head(long_journal: Job) -> None:
    known = journal.head_of(long_journal)
    remove_triggers(connection)
    rewrite(long_journal, 990)
    assert first_bad(long_journal) is None, "the last entries only said again what stood before"
    bad = first_bad(long_journal, head=known)
    assert bad is not None
    assert bad.number == 991


def test_the_command_exits_1_and_names_the_first_bad_entry(
    long_journal: Job, capsys: pytest.CaptureFixture[str]
) -> None:
    call_command("verify_journal", job=long_journal.code, head=journal.head_of(long_journal))
    assert "all as written" in capsys.readouterr().out
    remove_triggers(connection)
    JournalEntry.objects.filter(number=12).update(payload="{}")
    with pytest.raises(SystemExit) as exit_code:
        call_command("verify_journal", job=long_journal.code)
    assert exit_code.value.code == 1
    assert "entry 12 " in capsys.readouterr().err


def test_the_numbers_have_no_gaps(long_journal: Job) -> None:
    numbers = JournalEntry.objects.order_by("number").values_list("number", flat=True)
    assert list(numbers) == list(range(1, ENTRIES + 1))


def test_will_not_be_written_outside_a_transaction(long_journal: Job) -> None:
    with pytest.raises(RuntimeError):
        journal.append([long_journal], job=long_journal, by=None, at=timezone.now())


def test_a_head_needs_no_job_where_there_is_one_and_needs_it_where_there_are_two(long_journal: Job) -> None:
    head = journal.head_of(long_journal)
    call_command("verify_journal", head=head)
    open_job("J-2")
    with pytest.raises(CommandError, match="several") as refused:
        call_command("verify_journal", head=head)
    assert refused.value.returncode == 2
    call_command("verify_journal", job=long_journal.code, head=head)
