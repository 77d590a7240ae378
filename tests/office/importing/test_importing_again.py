"""The same workbook again changes nothing; a changed plan is told and written; a changed fact comes in by correction."""

from decimal import Decimal
from pathlib import Path

import pytest

from joints.actions.withdraw_records import withdraw_records
from records.models import (
    Examination,
    FitUp,
    Heat,
    Job,
    Joint,
    JournalEntry,
    JournalHead,
    Line,
    Pass,
    Release,
    Withdrawal,
)  # fmt: skip
from records.models.base import new_id
from records.verify import first_bad
from tests.builders import MembershipBuilder, UserBuilder
from tests.office.importing.books import CODE, import_sheets, only
from tests.office.workbooks import Sheets, change, changed_sheets, clean_sheets, row_of

pytestmark = pytest.mark.django_db
_GAP = row_of("Fit-ups", joint="1")


def _correction(**said: object) -> Sheets:
    row: dict[str, object] = {
        "record": "Fit-ups", "drawing": "ISO-1", "sheet": "1", "joint": "1", "attempt": None, "order": None,
        "method": None, "column": "gap", "value": "3/32", "date": "2026-09-22", "by": "Examiner One",
        "reason": "Misread", **said,
    }  # fmt: skip
    return {"Corrections": [list(row), list(row.values())]}


def test_the_same_workbook_again_changes_nothing_and_says_so(tmp_path: Path) -> None:
    first = import_sheets(clean_sheets(), tmp_path)
    entries = JournalEntry.objects.count()
    again = import_sheets(clean_sheets(), tmp_path)
    assert first.is_changed and not again.is_changed
    assert again.faults == again.changed == []
    assert JournalEntry.objects.count() == entries
    rows = {sheet: len(cells) - 1 for sheet, cells in clean_sheets().items()}
    assert {sheet: count.unchanged for sheet, count in again.counts.items()} == rows
    assert {sheet: count.new for sheet, count in first.counts.items()} == rows


def test_the_journal_of_an_import_proves_itself(tmp_path: Path) -> None:
    outcome = import_sheets(clean_sheets(), tmp_path)
    assert first_bad(Job.objects.get(code=CODE), head=outcome.head) is None


def test_a_changed_row_of_the_plan_is_told_and_journaled_with_the_reason(tmp_path: Path) -> None:
    import_sheets(clean_sheets(), tmp_path)
    outcome = import_sheets(changed_sheets([change("Lines", 2, "service", "Steam")]), tmp_path)
    assert outcome.changed == ["Lines!row 2: service Condensate -> Steam"]
    assert outcome.counts["Lines"].changed == 1
    assert Line.objects.get().service == "Steam"
    entry = JournalEntry.objects.order_by("-number")[0]
    assert (entry.kind, entry.reason) == ("line", "import small.xlsx")


def test_a_changed_name_is_told_as_the_row_says_it(tmp_path: Path) -> None:
    import_sheets(clean_sheets(), tmp_path)
    sheets = changed_sheets([change("Lines", 2, "exam plan", "E-2")])
    sheets["Exam plans"] = [*sheets["Exam plans"], ["E-2", "all", "VT", 100]]
    assert import_sheets(sheets, tmp_path).changed == ["Lines!row 2: exam plan another -> E-2"]


def test_a_changed_length_is_told_in_the_unit_of_the_job(tmp_path: Path) -> None:
    import_sheets(clean_sheets(), tmp_path)
    outcome = import_sheets(changed_sheets([change("Procedures", 2, "gap max", "5/32")]), tmp_path)
    assert outcome.changed == ["Procedures!row 2: gap max 1/8 in -> 5/32 in"]


def test_a_blank_cell_and_an_absent_column_leave_what_is_stored(tmp_path: Path) -> None:
    import_sheets(clean_sheets(), tmp_path)
    sheets = only(changed_sheets([change("Heats", 2, "C", None)]), "Heats")
    sheets["Heats"] = [row[:8] for row in sheets["Heats"]]
    outcome = import_sheets(sheets, tmp_path)
    assert not outcome.is_changed
    assert Heat.objects.get(number="H-1").elements["C"] == "0.19"


def test_a_changed_fact_is_refused_and_points_to_corrections(tmp_path: Path) -> None:
    import_sheets(clean_sheets(), tmp_path)
    entries = JournalEntry.objects.count()
    outcome = import_sheets(changed_sheets([change("Fit-ups", _GAP, "gap", "3/32")]), tmp_path)
    [fault] = outcome.faults
    assert fault.startswith("Fit-ups!") and "already recorded" in fault and "Corrections" in fault
    assert JournalEntry.objects.count() == entries


@pytest.mark.parametrize(
    ("sheet", "row", "column", "value"),
    [
        ("Passes", 2, "amps", 101),
        ("Examinations", 2, "leg A", "5/16"),
        ("Examinations", 2, "date", "2026-09-03"),
        ("Repairs", 2, "decision", "cut-out"),
        ("Releases", 2, "by", "Somebody else"),
    ],
)
def test_a_change_of_any_kind_of_fact_is_refused(
    sheet: str, row: int, column: str, value: object, tmp_path: Path
) -> None:
    import_sheets(clean_sheets(), tmp_path)
    outcome = import_sheets(changed_sheets([change(sheet, row, column, value)]), tmp_path)
    assert any(f"{sheet}!" in fault and "already recorded" in fault for fault in outcome.faults)


def test_a_correction_replaces_the_record_and_says_why(tmp_path: Path) -> None:
    import_sheets(clean_sheets(), tmp_path)
    outcome = import_sheets(_correction(), tmp_path)
    assert outcome.counts["Corrections"].new == 1
    corrected = FitUp.objects.get(replaces__isnull=False)
    assert corrected.gap_mm == Decimal("2.38125")
    assert corrected.reason == "Misread (Examiner One, 2026-09-22)"
    assert corrected.by == "Fitter One"
    assert corrected.typed["gap"] == "3/32"
    assert corrected.replaces is not None and corrected.replaces.gap_mm == Decimal("1.5875")


def test_the_same_correction_again_is_unchanged_and_so_is_the_row_it_corrected(tmp_path: Path) -> None:
    whole = clean_sheets() | _correction()
    import_sheets(whole, tmp_path)
    again = import_sheets(whole, tmp_path)
    assert again.faults == [] and not again.is_changed
    assert again.counts["Corrections"].unchanged == 1
    assert FitUp.objects.filter(replaces__isnull=False).count() == 1


def test_two_corrections_of_one_record_in_one_workbook_follow_each_other(tmp_path: Path) -> None:
    first, second = _correction(), _correction(value="1/8", reason="Misread again")
    sheets = clean_sheets() | {"Corrections": [*first["Corrections"], second["Corrections"][1]]}
    import_sheets(sheets, tmp_path)
    standing = FitUp.objects.get(joint__number="1", replaced_by__isnull=True)
    assert standing.gap_mm == Decimal("3.175")
    assert FitUp.objects.filter(joint__number="1").count() == 3
    assert not import_sheets(sheets, tmp_path).is_changed


@pytest.mark.parametrize(
    ("said", "column", "word"),
    [
        ({"value": "wide"}, "I2", "not a length"),
        ({"column": "gap 13"}, "H2", "gap 12"),
        ({"column": "joint"}, "H2", "is no column"),
        ({"joint": "6"}, "D2", "no such record"),
        ({"joint": "9"}, "D2", "no joint"),
        ({"record": "Passes", "column": "amps", "value": "99"}, "F2", "order is blank"),
        ({"record": "Passes", "order": 1, "column": "stamp", "value": "Z9"}, "I2", "no stamp"),
        ({"column": "by", "value": None}, "I2", "can't be blank"),
        ({"reason": None}, "L2", "blank"),
        ({"date": "2199-01-01"}, "J2", "future"),
    ],
)
def test_a_correction_that_can_t_be_is_refused_at_its_cell(
    said: dict[str, object], column: str, word: str, tmp_path: Path
) -> None:
    import_sheets(clean_sheets(), tmp_path)
    outcome = import_sheets(_correction(**said), tmp_path)
    assert any(fault.startswith(f"Corrections!{column}:") and word in fault for fault in outcome.faults), outcome.faults


def test_a_pass_and_an_examination_are_corrected_by_order_and_method(tmp_path: Path) -> None:
    import_sheets(clean_sheets(), tmp_path)
    import_sheets(_correction(record="Passes", order=2, column="filler lot", value="L-2"), tmp_path)
    import_sheets(_correction(record="Examinations", method="VT", column="leg A", value="5/16"), tmp_path)
    assert Pass.objects.get(replaces__isnull=False).filler_lot.number == "L-2"  # type: ignore[union-attr]
    assert Examination.objects.get(replaces__isnull=False).leg_a_mm == Decimal("7.9375")


def test_a_second_examination_after_a_re_shoot_is_new(tmp_path: Path) -> None:
    import_sheets(changed_sheets([change("Examinations", 2, "result", "re-shoot")]), tmp_path)
    sheets = only(clean_sheets(), "Examinations")
    sheets["Examinations"] = [sheets["Examinations"][0], sheets["Examinations"][1]]
    sheets["Examinations"][1][5] = "2026-09-04"
    outcome = import_sheets(sheets, tmp_path)
    assert outcome.faults == [] and outcome.counts["Examinations"].new == 1


def test_what_was_withdrawn_does_not_come_back_with_the_old_workbook(tmp_path: Path) -> None:
    import_sheets(clean_sheets(), tmp_path)
    job = Job.objects.get(code=CODE)
    engineer = UserBuilder()
    MembershipBuilder(job=job, user=engineer, role="engineer")
    release = Release.objects.get(joint__number="1")
    draft = Withdrawal(id=new_id(), joint=release.joint, kind="release", record=release.id, reason="Signed too early")
    withdraw_records([draft], job=job, by=engineer)
    assert not import_sheets(clean_sheets(), tmp_path).is_changed
    assert Joint.objects.get(number="1").state == "accepted"


def test_a_check_finds_the_same_and_writes_nothing(tmp_path: Path) -> None:
    outcome = import_sheets(clean_sheets(), tmp_path, only_check=True)
    assert outcome.faults == [] and outcome.counts["Joints"].new == 6
    assert not Job.objects.exists() and not JournalHead.objects.exists()


def test_the_units_of_a_job_with_joints_stay(tmp_path: Path) -> None:
    import_sheets(clean_sheets(), tmp_path)
    outcome = import_sheets(changed_sheets([change("Job", 2, "units", "SI")]), tmp_path)
    assert any("Job!D2" in fault and "stay US" in fault for fault in outcome.faults)


def test_a_changed_job_is_told_and_journaled(tmp_path: Path) -> None:
    import_sheets(clean_sheets(), tmp_path)
    outcome = import_sheets(changed_sheets([change("Job", 2, "client", "Client Two")]), tmp_path)
    assert outcome.changed == ["Job!row 2: client Client One -> Client Two"]
    assert Job.objects.get().client == "Client Two"
    assert first_bad(Job.objects.get()) is None
