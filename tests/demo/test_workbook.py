"""The demonstration workbook, read back from its file: every reference resolves and every story is there."""

import csv
from collections import Counter
from datetime import date, datetime, time
from pathlib import Path

import pytest
from python_calamine import CalamineWorkbook

from demo.build_workbook import FOLDER, WORKBOOK, write_workbook
from demo.certificates import MARK, write_certificates
from demo.drawings import JOINTS
from demo.metal import HEATS, NO_FILE
from demo.problems import PROBLEMS
from demo.procedures import FILLER_LOTS
from demo.readme import readme
from demo.sheets import COLUMNS, all_sheets
from rules.codes import CODES

Sheets = dict[str, list[dict[str, object]]]
LAST_DAY = date(2026, 11, 23)
KEY = ("drawing", "sheet", "joint")
RECORDS = ("Fit-ups", "Passes", "Weld log", "Examinations", "Repairs", "Releases", "Overrides", "Assignments")
IDENTITY = {
    "Lines": ("line",),
    "Sheets": ("drawing", "sheet"),
    "Materials": ("material",),
    "Routes": ("drawing", "sheet", "step"),
    "Components": ("drawing", "sheet", "piece"),
    "Joints": KEY,
    "Procedures": ("procedure",),
    "Procedure passes": ("procedure", "pass"),
    "Welders": ("stamp",),
    "Qualifications": ("stamp", "WPQ"),
    "Continuity": ("stamp", "process", "date"),
    "Heats": ("heat",),
    "Filler lots": ("lot",),
    "Examiners": ("name", "method"),
    "Exam plans": ("plan", "joint kind", "method"),
}


@pytest.fixture(scope="module")
def sheets() -> Sheets:
    book = CalamineWorkbook.from_path(str(WORKBOOK))
    found = {}
    for name in book.sheet_names:
        header, *rows = book.get_sheet_by_name(name).to_python()
        found[name] = [dict(zip(header, row, strict=True)) for row in rows]
    return found


def key_of(row: dict[str, object]) -> str:
    return "/".join(str(row[column]) for column in KEY)


def column(sheets: Sheets, sheet: str, name: str) -> set[object]:
    return {row[name] for row in sheets[sheet]}


def test_has_every_sheet_with_its_columns(sheets: Sheets) -> None:
    assert list(sheets) == list(COLUMNS)
    for name, columns in COLUMNS.items():
        assert sheets[name], name
        assert list(sheets[name][0]) == columns


@pytest.mark.parametrize("name", IDENTITY)
def test_no_identity_occurs_twice(sheets: Sheets, name: str) -> None:
    keys = Counter(tuple(str(row[column]) for column in IDENTITY[name]) for row in sheets[name])
    assert [key for key, times in keys.items() if times > 1] == []


def test_every_record_names_a_joint_of_the_list(sheets: Sheets) -> None:
    joints = {key_of(row) for row in sheets["Joints"]}
    for name in (*RECORDS, "Corrections"):
        assert {key_of(row) for row in sheets[name]} <= joints, name


@pytest.mark.parametrize(
    ("sheet", "name", "target", "target_name"),
    [
        ("Sheets", "line", "Lines", "line"),
        ("Lines", "exam plan", "Exam plans", "plan"),
        ("Joints", "procedure", "Procedures", "procedure"),
        ("Joints", "heat A", "Heats", "heat"),
        ("Joints", "heat B", "Heats", "heat"),
        ("Components", "heat", "Heats", "heat"),
        ("Fit-ups", "heat A read", "Heats", "heat"),
        ("Fit-ups", "heat B read", "Heats", "heat"),
        ("Fit-ups", "tack stamp", "Welders", "stamp"),
        ("Passes", "stamp", "Welders", "stamp"),
        ("Passes", "filler lot", "Filler lots", "lot"),
        ("Weld log", "root stamp", "Welders", "stamp"),
        ("Weld log", "procedure", "Procedures", "procedure"),
        ("Weld log", "filler lot", "Filler lots", "lot"),
        ("Qualifications", "stamp", "Welders", "stamp"),
        ("Continuity", "stamp", "Welders", "stamp"),
        ("Assignments", "stamp", "Welders", "stamp"),
        ("Procedure passes", "procedure", "Procedures", "procedure"),
        ("Procedure passes", "filler", "Filler lots", "classification"),
        ("Examinations", "by", "Examiners", "name"),
    ],
)
def test_reference_resolves(sheets: Sheets, sheet: str, name: str, target: str, target_name: str) -> None:
    assert column(sheets, sheet, name) - {""} <= column(sheets, target, target_name)


def test_pieces_and_spools_of_a_joint_stand_on_its_sheet(sheets: Sheets) -> None:
    pieces = {(row["drawing"], row["sheet"], row["piece"]): row for row in sheets["Components"]}
    spools = {(row["drawing"], row["sheet"]): str(row["spools"]).split(", ") for row in sheets["Sheets"]}
    for joint in sheets["Joints"]:
        sheet = (joint["drawing"], joint["sheet"])
        assert joint["spool"] in spools[sheet]
        assert (joint["spool B"] in spools[sheet]) == (joint["location"] != "shop")
        for side in "AB":
            piece = pieces[(*sheet, joint[f"piece {side}"])]
            assert piece["material"] == joint[f"material {side}"]
            assert joint[f"heat {side}"] in (piece["heat"], "")


def test_a_heat_is_of_the_material_of_its_pieces(sheets: Sheets) -> None:
    material = {row["heat"]: row["material"] for row in sheets["Heats"]}
    for row in sheets["Components"]:
        assert not row["heat"] or material[row["heat"]] == row["material"]


def test_fitted_joints_have_both_heats(sheets: Sheets) -> None:
    heats = {key_of(row): (row["heat A"], row["heat B"]) for row in sheets["Joints"]}
    for name in ("Fit-ups", "Passes", "Weld log"):
        assert all(all(heats[key_of(row)]) for row in sheets[name]), name


def test_no_date_of_a_record_lies_after_the_last_day(sheets: Sheets) -> None:
    for name in (*RECORDS, "Corrections", "Confirmations", "Continuity"):
        for row in sheets[name]:
            value = row["date"]
            if isinstance(value, str):
                value = date.fromisoformat(value)
            day = value.date() if isinstance(value, datetime) else value
            assert isinstance(day, date)
            assert day <= LAST_DAY, (name, row)
            if name != "Continuity":
                assert day >= date(2026, 8, 2), (name, row)


def test_records_of_a_joint_follow_each_other_but_for_one(sheets: Sheets) -> None:
    out_of_order = set()
    steps: dict[tuple[str, object], list[datetime]] = {}
    for name in ("Fit-ups", "Passes", "Weld log", "Examinations", "Repairs", "Releases"):
        for row in sheets[name]:
            day = row["date"]
            moment = day if isinstance(day, datetime) else datetime.combine(day, time(23))
            before = steps.setdefault((key_of(row), row["attempt"]), [])
            if before and moment < max(before):
                out_of_order.add(key_of(row))
            if name != "Examinations":
                before.append(moment)
    assert out_of_order == {"OB-BR-101/1/2"}


def test_every_kind_state_and_location_occurs(sheets: Sheets) -> None:
    kinds = Counter(row["kind"] for row in sheets["Joints"])
    assert set(kinds) >= {"socket", "butt", "branch", "olet", "pad", "slip-on"}
    assert set(column(sheets, "Joints", "location")) == {"shop", "field", "field-fit"}
    assert Counter(joint.state for joint in JOINTS.values()).keys() == set(".afiwxAR1W")
    assert len(sheets["Lines"]) == 12
    assert len(sheets["Welders"]) == 8
    assert 140 <= len(sheets["Joints"]) <= 170


def test_a_heat_has_full_chemistry_and_its_certificate_file(sheets: Sheets) -> None:
    for row in sheets["Heats"]:
        assert all(isinstance(row[symbol], float) for symbol in ("C", "Mn", "P", "S", "Si", "Cr", "Mo", "Ni"))
        has_file = (FOLDER / "certificates" / f"{row['certificate']}.pdf").is_file()
        assert has_file == (bool(row["certificate"]) and row["heat"] != NO_FILE)
    for row in sheets["Filler lots"]:
        assert (FOLDER / "certificates" / f"{row['certificate']}.pdf").is_file()


def test_certificates_are_small_and_say_that_they_are_invented() -> None:
    files = list((FOLDER / "certificates").glob("*.pdf"))
    assert len(files) == 50
    for file in files:
        content = file.read_bytes()
        assert content.startswith(b"%PDF-")
        assert len(content) < 20_000


def test_a_certificate_carries_the_mark_and_the_heat(tmp_path: Path) -> None:
    pdfium = pytest.importorskip("pypdfium2")
    (file,) = write_certificates(HEATS[:1], [], tmp_path)
    text = pdfium.PdfDocument(str(file))[0].get_textpage().get_text_range()
    assert MARK in text
    assert str(HEATS[0]["heat"]) in text


def test_every_problem_stands_on_a_joint_and_gives_a_known_code() -> None:
    assert {problem.joint for problem in PROBLEMS} <= set(JOINTS)
    assert {problem.code for problem in PROBLEMS} - {""} <= set(CODES)


def test_expected_findings_list_each_problem_and_each_state() -> None:
    with (FOLDER / "expected_findings.csv").open() as file:
        rows = [(row["joint"], row["code"]) for row in csv.DictReader(file)]
    assert {(problem.joint, problem.code) for problem in PROBLEMS if problem.code} <= set(rows)
    accepted = {key for key, joint in JOINTS.items() if joint.state in "A1"}
    assert {joint for joint, code in rows if code == "release-missing"} == accepted
    welded = {key for key, joint in JOINTS.items() if joint.state == "w"}
    assert {joint for joint, code in rows if code == "examination-due"} == welded


def test_the_welder_who_signs_in_has_work_waiting(sheets: Sheets) -> None:
    (stamp,) = (row["stamp"] for row in sheets["Welders"] if row["sign-in"] == "welder")
    mine = [key_of(row) for row in sheets["Assignments"] if row["stamp"] == stamp]
    assert {"a", "f", "i"} <= {JOINTS[key].state for key in mine}


def test_products_are_those_of_the_sources(tmp_path: Path) -> None:
    again = all_sheets()
    write_workbook(tmp_path / "again.xlsx", again)
    assert (tmp_path / "again.xlsx").read_bytes() == WORKBOOK.read_bytes()
    assert (FOLDER / "README.md").read_text() == readme(again)
    for file in write_certificates(HEATS, FILLER_LOTS, tmp_path):
        assert file.read_bytes() == (FOLDER / "certificates" / file.name).read_bytes()
