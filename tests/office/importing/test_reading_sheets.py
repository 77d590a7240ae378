"""Headers, blank rows, numbers for texts, dates and units, and where sheets can come from."""

import zipfile
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from office.importing.parsers import Setting, position
from office.importing.workbook import import_workbook
from records.models import Examiner, ExamRule, FitUp, Heat, Job, Joint, Pass, Procedure
from tests.office.importing.books import CODE, import_sheets, only, write_csv_folder, write_ods
from tests.office.workbooks import change, changed_sheets, clean_sheets, row_of

pytestmark = pytest.mark.django_db


def _plan_only() -> dict[str, list[list[object]]]:
    return only(clean_sheets(), "Job", "Lines", "Sheets", "Exam plans", "Heats", "Procedures", "Joints")


def test_header_case_spacing_parentheses_and_order_are_ignored(tmp_path: Path) -> None:
    sheets = _plan_only()
    sheets["Joints"][0] = [f" {str(name).upper()}  (as drawn)" for name in sheets["Joints"][0]]
    sheets["Joints"] = [list(reversed(row)) for row in sheets["Joints"]]
    sheets[" JOINTS (all)"] = sheets.pop("Joints")
    assert import_sheets(sheets, tmp_path).faults == []
    assert Joint.objects.count() == 6


def test_blank_rows_are_skipped_and_rows_keep_their_numbers(tmp_path: Path) -> None:
    sheets = _plan_only()
    sheets["Joints"].insert(1, [None] * 13)
    sheets["Joints"].insert(0, [None] * 13)
    sheets["Joints"][3][3] = "glued"
    outcome = import_sheets(sheets, tmp_path)
    assert [fault.split(":")[0] for fault in outcome.faults] == ["Joints!D4"]


def test_an_unknown_column_is_reported_with_its_nearest_and_skipped(tmp_path: Path) -> None:
    sheets = _plan_only()
    sheets["Joints"][0].append("positon")
    sheets["Joints"][1].append("5G")
    outcome = import_sheets(sheets, tmp_path)
    assert outcome.faults == []
    assert outcome.notices == ['Joints!O1: no column is called "positon"; skipped (did you mean position?)']


def test_a_sheet_of_the_person_s_own_is_reported_and_skipped(tmp_path: Path) -> None:
    outcome = import_sheets(_plan_only() | {"Notes to self": [["x"], ["y"]]}, tmp_path)
    assert outcome.faults == []
    assert [line.split(":")[0] for line in outcome.notices] == ["Notes to self"]


def test_whole_numbers_stand_for_texts(tmp_path: Path) -> None:
    sheets = _plan_only()
    for row in sheets["Joints"][1:]:
        row[2], row[5], row[6] = float(str(row[2])), 2, 80
    assert import_sheets(sheets, tmp_path).faults == []
    assert list(Joint.objects.order_by("sort_key").values_list("number", flat=True)) == list("123456")


def test_a_heat_typed_as_text_keeps_its_zeros(tmp_path: Path) -> None:
    sheets = _plan_only()
    sheets["Heats"].append(["00123", "A105", *sheets["Heats"][1][2:]])
    import_sheets(sheets, tmp_path)
    assert Heat.objects.filter(number="00123").exists()


def test_a_fraction_that_the_spreadsheet_made_a_date_is_refused(tmp_path: Path) -> None:
    outcome = import_sheets(changed_sheets([change("Joints", 2, "NPS", date(2026, 3, 4))]), tmp_path)
    assert any(fault.startswith("Joints!F2:") and "date" in fault for fault in outcome.faults)


def test_a_share_typed_as_a_bare_fraction_is_refused(tmp_path: Path) -> None:
    outcome = import_sheets(changed_sheets([change("Exam plans", 3, "share", 0.1)]), tmp_path)
    assert any(fault.startswith("Exam plans!D3:") for fault in outcome.faults)
    assert import_sheets(changed_sheets([change("Exam plans", 3, "share", "10 %")]), tmp_path).faults == []
    assert ExamRule.objects.get(method="RT").share_percent == 10


def test_a_time_is_the_site_s_and_a_day_alone_has_none(tmp_path: Path) -> None:
    row = row_of("Fit-ups", joint="2")
    changes = [change("Job", 2, "time zone", "America/Denver"), change("Fit-ups", row, "date", "2026-09-02")]
    import_sheets(changed_sheets(changes), tmp_path)
    timed, plain = FitUp.objects.get(joint__number="1"), FitUp.objects.get(joint__number="2")
    assert timed.done_at == datetime(2026, 9, 1, 14, 0, tzinfo=UTC)
    assert (plain.done_on, plain.done_at) == (date(2026, 9, 2), None)


def test_bare_numbers_are_in_the_units_of_the_workbook_s_own_job(tmp_path: Path) -> None:
    sheets = only(clean_sheets(), "Job", "Procedures")
    sheets["Job"][1][3] = "SI"
    sheets["Procedures"] = [["procedure", "revision", "P-Number", "processes", "gap min", "interpass max"],
                            ["P-1", "1", "P-No. 1", "TIG", 1.5, "500 F"]]  # fmt: skip
    assert import_sheets(sheets, tmp_path).faults == []
    procedure = Procedure.objects.get()
    assert (procedure.gap_min_mm, procedure.interpass_max_c) == (Decimal("1.5"), Decimal(260))
    assert (procedure.p_numbers, procedure.processes) == (["1"], ["GTAW"])


# Interfaces: bare numbers of a US job are psi. Common practice, no source: mills print ksi, psi or MPa without a word.
@pytest.mark.parametrize("typed", ["70", 470, "0.5 MPa", "700 ksi"])
def test_a_strength_that_no_metal_has_is_refused(typed: object, tmp_path: Path) -> None:
    sheets = only(clean_sheets(), "Job", "Heats")
    sheets["Heats"] = [["heat", "material", "tensile"], ["H-9", "A106 Gr B", typed]]
    outcome = import_sheets(sheets, tmp_path)
    assert [fault.split(":")[0] for fault in outcome.faults] == ["Heats!C2"]
    assert "no metal has a strength of" in outcome.faults[0] and "70 ksi" in outcome.faults[0]


# ASTM B241 (from memory): annealed aluminium 1060 yields at 2.5 ksi, 17 MPa.
@pytest.mark.parametrize(
    ("typed", "mpa"), [("70 ksi", "482.633"), (70000, "482.633"), ("485 MPa", "485"), ("17 MPa", "17")]
)
def test_a_strength_is_read_in_its_unit_and_bare_as_psi(typed: object, mpa: str, tmp_path: Path) -> None:
    sheets = only(clean_sheets(), "Job", "Heats")
    sheets["Heats"] = [["heat", "material", "tensile"], ["H-9", "A106 Gr B", typed]]
    assert import_sheets(sheets, tmp_path).faults == []
    assert Heat.objects.get(number="H-9").tensile_mpa == Decimal(mpa)


def test_short_forms_of_the_trade_are_taken(tmp_path: Path) -> None:
    sheets = _plan_only()
    sheets["Joints"][1][3:5] = ["SW", "S"]
    sheets["Joints"][3][3:5] = ["bw", "FF"]
    assert import_sheets(sheets, tmp_path).faults == []
    told = Joint.objects.order_by("sort_key").values_list("kind", "location")
    assert (told[0], told[2]) == (("socket", "shop"), ("butt", "field-fit"))


def test_a_list_that_says_all_is_no_restriction(tmp_path: Path) -> None:
    import_sheets(clean_sheets(), tmp_path)
    procedure = Procedure.objects.get(number="P-2")
    assert (procedure.positions, procedure.processes) == ([], ["GTAW", "SMAW"])


def test_every_fault_is_found_in_one_pass(tmp_path: Path) -> None:
    changes = [
        change("Joints", 2, "kind", "glued"),
        change("Joints", 3, "heat A", "H-404"),
        change("Fit-ups", 2, "gap", "tight"),
        change("Passes", 3, "amps", -5),
        change("Releases", 2, "date", date(2199, 1, 1)),
    ]
    outcome = import_sheets(changed_sheets(changes), tmp_path)
    places = [fault.split(":")[0] for fault in outcome.faults]
    assert places == ["Joints!D2", "Joints!H3", "Fit-ups!F2", "Passes!K3", "Releases!E2"]
    assert not Job.objects.exists()


def test_a_row_with_a_fault_is_not_unknown_to_the_sheets_that_name_it(tmp_path: Path) -> None:
    outcome = import_sheets(changed_sheets([change("Heats", 2, "C", "low")]), tmp_path)
    assert len(outcome.faults) == 1


def test_a_text_longer_than_its_column_is_refused(tmp_path: Path) -> None:
    outcome = import_sheets(changed_sheets([change("Welders", 2, "stamp", "A" * 21)]), tmp_path)
    assert any(fault.startswith("Welders!A2:") and "at most 20" in fault for fault in outcome.faults)


def test_a_formula_error_and_one_never_computed_are_faults(tmp_path: Path) -> None:
    path = tmp_path / "formulas.xlsx"
    import_sheets(changed_sheets([change("Fit-ups", 2, "gap", "=1/0")]), tmp_path)
    source = tmp_path / "small.xlsx"
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(path, "w") as new:
        for entry in old.infolist():
            text = old.read(entry)
            if b"<f>1/0</f>" in text:
                text = text.replace(b' t="e"', b"").replace(b"<v>#DIV/0!</v>", b"<v></v>")
            new.writestr(entry, text)
    for file, word in ((source, "#DIV/0!"), (path, "never computed")):
        outcome = import_workbook(file, CODE, by=None, may_create=True)
        assert any(fault.startswith("Fit-ups!F2:") and word in fault for fault in outcome.faults), outcome.faults


def test_a_folder_of_csv_files_says_the_same(tmp_path: Path) -> None:
    folder = write_csv_folder(clean_sheets(), tmp_path)
    (folder / "notes.txt").write_text("x")
    outcome = import_workbook(folder, CODE, by=None, may_create=True)
    assert outcome.faults == [] and any("notes.txt" in line for line in outcome.notices)
    assert not import_sheets(clean_sheets(), tmp_path).is_changed


def test_an_ods_says_the_same(tmp_path: Path) -> None:
    outcome = import_workbook(write_ods(clean_sheets(), tmp_path / "small.ods"), CODE, by=None, may_create=True)
    assert outcome.faults == []
    assert Pass.objects.count() == 16
    assert not import_sheets(clean_sheets(), tmp_path).is_changed


def test_semicolons_separate_too(tmp_path: Path) -> None:
    folder = tmp_path / "sheets"
    folder.mkdir()
    (folder / "Examiners.csv").write_text("name;method;level;valid until\nDoe, Jan;VT;II;2028-01-31\n")
    assert import_workbook(folder, CODE, by=None, may_create=True).faults == []
    assert Examiner.objects.get().name == "Doe, Jan"


def test_a_csv_that_is_not_utf_8_is_refused(tmp_path: Path) -> None:
    folder = tmp_path / "sheets"
    folder.mkdir()
    (folder / "Examiners.csv").write_bytes("name,method,level,valid until\nJörg,VT,II,\n".encode("latin-1"))
    [fault] = import_workbook(folder, CODE, by=None, may_create=True).faults
    assert "UTF-8" in fault


@pytest.mark.parametrize("place", ["SP", "sp", "6GR", "2FR"])
def test_a_test_position_of_its_own_name_is_taken(place: str) -> None:
    # ASME BPVC Section IX QW-461.9 names special positions SP.
    assert position(place, Setting("SI", ZoneInfo("UTC"), date(2026, 9, 1))) == place.upper()
