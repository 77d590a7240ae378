"""The weld log's one-row form, segments, stamps, releases on paper, and how many queries it takes."""

from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from records.models import Assignment, Finding, FitUp, Joint, Membership, Pass, User
from records.permissions import roles_of
from tests.office.importing.books import import_sheets, only
from tests.office.workbooks import Sheets, change, changed_sheets, clean_sheets

pytestmark = pytest.mark.django_db
_LOG = [
    "drawing",
    "sheet",
    "joint",
    "date",
    "procedure",
    "root stamp",
    "hot stamp",
    "fill stamp",
    "cap stamp",
    "filler lot",
]


def _logged(*rows: list[Any]) -> Sheets:
    sheets = clean_sheets()
    for name in ("Passes", "Fit-ups", "Examinations", "Repairs", "Releases"):
        del sheets[name]
    return sheets | {"Weld log": [_LOG, *rows]}


def test_a_row_of_the_weld_log_becomes_passes_in_order(tmp_path: Path) -> None:
    outcome = import_sheets(_logged(["ISO-1", "1", "3", "2026-09-03", "P-2", "A1", None, "B2", "B2", "L-2"]), tmp_path)
    assert outcome.faults == [] and outcome.counts["Weld log"].new == 1
    told = Pass.objects.order_by("order").values_list("order", "role", "stamp__code", "process", "filler_lot__number")
    # the lot is E7018, which the procedure's table asks for in fill and cap only
    assert list(told) == [
        (1, "root", "A1", "GTAW", None),
        (2, "fill", "B2", "SMAW", "L-2"),
        (3, "cap", "B2", "SMAW", "L-2"),
    ]
    assert set(Pass.objects.values_list("from_weld_log", "procedure__number")) == {(True, "P-2")}


# Common practice, no source: a running log names both lots of a weld by two processes in one cell.
def test_several_lots_of_a_row_are_each_that_of_the_passes_they_fit(tmp_path: Path) -> None:
    row = ["ISO-1", "1", "3", "2026-09-03", "P-2", "A1", None, "B2", "B2", "L-1, L-2"]
    outcome = import_sheets(_logged(row), tmp_path)
    assert outcome.faults == []
    told = Pass.objects.order_by("order").values_list("role", "filler_lot__number")
    assert list(told) == [("root", "L-1"), ("fill", "L-2"), ("cap", "L-2")]
    assert not import_sheets(_logged(row), tmp_path).is_changed


def test_a_lot_that_finds_no_pass_is_told_and_no_lot_is_lost(tmp_path: Path) -> None:
    row = ["ISO-1", "1", "1", "2026-09-03", "P-1", "A1", None, None, "A1"]
    for lots, word in (("L-1, L-2", "the lot L-2 is left over"), ("L-1, Z-9", '"Z-9"')):
        outcome = import_sheets(_logged([*row, lots]), tmp_path)
        assert [fault.split(":")[0] for fault in outcome.faults] == ["Weld log!J2"] and word in outcome.faults[0]
    assert import_sheets(_logged([*row, "L-2"]), tmp_path).faults == []  # fits none: of all, and told as a finding
    assert set(Pass.objects.values_list("filler_lot__number", flat=True)) == {"L-2"}


def _told(tmp_path: Path, sheets: Sheets, lots: str) -> list[tuple[str, str | None]]:
    """The lot of each pass of a row of the weld log for a weld by GTAW and SMAW, under WPS P-2."""
    row = ["ISO-1", "1", "3", "2026-09-03", "P-2", "A1", None, "B2", "B2", lots]
    outcome = import_sheets(sheets | {"Weld log": [_LOG, row]}, tmp_path)
    assert outcome.faults == []
    assert not import_sheets(sheets | {"Weld log": [_LOG, row]}, tmp_path).is_changed
    return list(Pass.objects.order_by("order").values_list("role", "filler_lot__number"))


def _with_lots(*lots: tuple[str, str]) -> Sheets:
    sheets = _logged()
    sheets["Filler lots"] = [["lot", "classification", "diameter"], *([*lot, "3/32"] for lot in lots)]
    return sheets


# P-2 asks for ER70S-6 by GTAW and for E7018 by SMAW. A5.18 is for GTAW, A5.1 for SMAW (AWS, from memory).
def test_one_lot_that_no_pass_asks_for_is_that_of_the_process_it_is_made_for(tmp_path: Path) -> None:
    sheets = _with_lots(("L-2", "ER70S-2"), ("L-9", "E7016"))
    assert _told(tmp_path, sheets, "L-2") == [("root", "L-2"), ("fill", None), ("cap", None)]
    codes = Finding.objects.filter(joint__number="3", code="filler-mismatch").values_list("message", flat=True)
    assert [one[:31] for one in codes] == ["Filler ER70S-2 in pass 1 (root)"]


def test_the_lot_of_the_fill_leaves_the_root_unknown(tmp_path: Path) -> None:
    sheets = _with_lots(("L-2", "ER70S-2"), ("L-9", "E7016"))
    assert _told(tmp_path, sheets, "L-9") == [("root", None), ("fill", "L-9"), ("cap", "L-9")]


@pytest.mark.parametrize("cell", ["ER70S-2 / E7016", "ER70S-2/E7016", "E7016 + ER70S-2", "ER70S-2 and E7016"])
def test_two_fillers_with_a_stroke_between_are_each_that_of_its_process(cell: str, tmp_path: Path) -> None:
    sheets = _with_lots(("ER70S-2", "ER70S-2"), ("E7016", "E7016"))
    assert _told(tmp_path, sheets, cell) == [("root", "ER70S-2"), ("fill", "E7016"), ("cap", "E7016")]


@pytest.mark.parametrize(
    ("classes", "cell", "expected"),
    [
        (("X", "Y"), "L-1 / L-2", ["L-1", "L-2", "L-2"]),
        (("X", "Y"), "L-2 / L-1", ["L-2", "L-1", "L-1"]),
        (("X", "ER70S-2"), "L-1 / L-2", ["L-2", "L-1", "L-1"]),
    ],
)
def test_of_lots_whose_class_says_no_process_each_goes_to_one_in_order(
    classes: tuple[str, str], cell: str, expected: list[str], tmp_path: Path
) -> None:
    sheets = _with_lots(("L-1", classes[0]), ("L-2", classes[1]))
    assert [lot for _, lot in _told(tmp_path, sheets, cell)] == expected


def test_a_lot_with_a_stroke_in_its_number_is_one(tmp_path: Path) -> None:
    sheets = _with_lots(("L/1", "ER70S-6"), ("1", "E7018"))
    assert _told(tmp_path, sheets, "L/1") == [("root", "L/1"), ("fill", None), ("cap", None)]


def test_a_classification_in_place_of_a_lot_is_told_with_its_lots(tmp_path: Path) -> None:
    sheets = _with_lots(("L-1", "ER70S-6"), ("L-3", "ER70S-6"))
    row = ["ISO-1", "1", "3", "2026-09-03", "P-2", "A1", None, "B2", "B2", "ER70S-6"]
    (fault,) = import_sheets(sheets | {"Weld log": [_LOG, row]}, tmp_path).faults
    assert fault == "Weld log!J2: ER70S-6 is a classification, and a lot is named here: L-1 or L-3"


def test_stamps_with_a_stroke_between_are_two(tmp_path: Path) -> None:
    import_sheets(_logged(["ISO-1", "1", "1", "2026-09-03", "P-1", "A1/B2", None, None, "A1", None]), tmp_path)
    assert sorted(Pass.objects.filter(order=1).values_list("stamp__code", flat=True)) == ["A1", "B2"]


def test_the_weld_log_again_changes_nothing_and_a_changed_row_is_refused(tmp_path: Path) -> None:
    row = ["ISO-1", "1", "1", "2026-09-03", "P-1", "A1", None, None, "A1", "L-1"]
    import_sheets(_logged(row), tmp_path)
    assert not import_sheets(_logged(row), tmp_path).is_changed
    outcome = import_sheets(_logged([*row[:8], "B2", "L-1"]), tmp_path)
    assert any(fault.startswith("Weld log!") and "already recorded" in fault for fault in outcome.faults)


def test_two_stamps_on_one_pass_of_the_log_are_two_segments(tmp_path: Path) -> None:
    import_sheets(_logged(["ISO-1", "1", "1", "2026-09-03", "P-1", "A1, B2", None, None, "A1", None]), tmp_path)
    assert sorted(Pass.objects.filter(order=1).values_list("stamp__code", flat=True)) == ["A1", "B2"]


def test_an_unknown_stamp_in_the_log_is_refused(tmp_path: Path) -> None:
    outcome = import_sheets(
        _logged(["ISO-1", "1", "1", "2026-09-03", "P-1", "A1, Z9", None, None, None, None]), tmp_path
    )
    assert any(fault.startswith("Weld log!F2:") and "Z9" in fault for fault in outcome.faults)


def test_a_joint_stands_in_passes_or_in_the_log(tmp_path: Path) -> None:
    sheets = clean_sheets() | {
        "Weld log": [_LOG, ["ISO-1", "1", "1", "2026-09-03", "P-1", "A1", None, None, "A1", None]]
    }
    outcome = import_sheets(sheets, tmp_path)
    assert any(fault.startswith("Weld log!C2:") for fault in outcome.faults)


def test_several_rows_of_one_order_are_segments(tmp_path: Path) -> None:
    sheets = clean_sheets()
    sheets["Passes"].insert(2, list(sheets["Passes"][1]))
    assert import_sheets(sheets, tmp_path).faults == []
    assert Pass.objects.filter(joint__number="1", order=1).count() == 2
    assert not import_sheets(sheets, tmp_path).is_changed


def test_an_assignment_on_paper_of_an_unqualified_welder_is_recorded(tmp_path: Path) -> None:
    sheets = clean_sheets()
    sheets["Assignments"] = [
        ["drawing", "sheet", "joint", "stamp", "date", "by"], ["ISO-1", "1", "6", "B2", "2026-09-01", "Foreman One"],
    ]  # fmt: skip
    assert import_sheets(sheets, tmp_path).faults == []
    assert Assignment.objects.get().stamp.code == "B2"
    assert Joint.objects.get(number="6").assigned.code == "B2"  # type: ignore[union-attr]


def test_measurements_stand_beside_their_values_as_they_were_typed(tmp_path: Path) -> None:
    import_sheets(changed_sheets([change("Fit-ups", 2, "gap", "1.6 mm")]), tmp_path)
    fit_up = FitUp.objects.get(joint__number="1")
    assert fit_up.typed == {"gap": "1.6 mm", "squareness": "1/32"}


def test_the_site_s_own_account_imports_and_can_not_sign_in(tmp_path: Path) -> None:
    import_sheets(clean_sheets(), tmp_path)
    importer = User.objects.get(username="site")
    assert not importer.has_usable_password()
    assert set(Membership.objects.filter(user=importer).values_list("role", flat=True)) == {"engineer", "administrator"}
    assert FitUp.objects.values_list("recorded_by", flat=True).distinct().get() == importer.pk


def test_who_makes_a_job_is_its_engineer_and_administrator(tmp_path: Path) -> None:
    person = User.objects.create_user("edda")
    import_sheets(clean_sheets(), tmp_path, by=person)
    assert roles_of(person, Joint.objects.first().job) == {"engineer", "administrator"}  # type: ignore[union-attr]
    assert not User.objects.filter(username="site").exists()


def _job_of(joints: int) -> Sheets:
    sheets = only(
        clean_sheets(), "Job", "Lines", "Sheets", "Exam plans", "Heats", "Procedures", "Procedure passes", "Welders"
    )
    sheets["Filler lots"] = clean_sheets()["Filler lots"]
    for name in ("Joints", "Fit-ups", "Passes"):
        header, *rows = clean_sheets()[name]
        model = [row for row in rows if row[2] == "1"]
        sheets[name] = [
            header,
            *([*row[:2], str(number), *row[3:]] for number in range(1, joints + 1) for row in model),
        ]
    return sheets


def _reads(sheets: Sheets, folder: Path, code: str) -> int:
    """How often an import reads; SQLite writes a few dozen rows at a time, so its writes do grow."""
    sheets["Job"][1][0] = code
    with CaptureQueriesContext(connection) as captured:
        assert import_sheets(sheets, folder, code=code).faults == []
    return sum(query["sql"].startswith("SELECT") for query in captured)


def test_reads_do_not_grow_with_the_joints(tmp_path: Path) -> None:
    import_sheets(_job_of(1), tmp_path)  # makes the site's own account
    assert _reads(_job_of(10), tmp_path, "J-10") == _reads(_job_of(100), tmp_path, "J-100")


def test_a_draw_that_cannot_be_repeated_is_told_by_its_cell(tmp_path: Path) -> None:
    # Common practice, no source: whoever checks a random sample draws it again.
    head = ["drawing", "sheet", "joint", "method", "date", "by", "how"]
    row = ["ISO-1", "1", "3", "RT", "2026-09-05", "Examiner One", "random"]
    told = "a random pick needs what its draw can be repeated from"
    [fault] = import_sheets(clean_sheets() | {"Picks": [head, row]}, tmp_path, only_check=True).faults
    assert str(fault).startswith(f"Picks!G2: {told}")
    [fault] = import_sheets(
        clean_sheets() | {"Picks": [[*head, "draw"], [*row, " "]]}, tmp_path, only_check=True
    ).faults
    assert str(fault).startswith(f"Picks!H2: {told}")
    correction = [
        ["record", "drawing", "sheet", "joint", "method", "column", "value", "date", "by", "reason"],
        ["Picks", "ISO-1", "1", "3", "RT", "draw", None, "2026-09-06", "Examiner One", "Mistyped"],
    ]
    drawn = {"Picks": [[*head, "draw"], [*row, "seed 7, no. 3"]]}
    [fault] = import_sheets(clean_sheets() | drawn | {"Corrections": correction}, tmp_path, only_check=True).faults
    assert str(fault).startswith(f"Corrections!G2: {told}")
    assert import_sheets(clean_sheets() | drawn, tmp_path).faults == []


def test_a_point_that_a_workbook_overrides_is_told_by_its_cell(tmp_path: Path) -> None:
    head = ["drawing", "sheet", "joint", "code", "date", "by", "reason"]
    row = ["ISO-1", "1", "3", "hold-point-open", "2026-09-06", "Engineer One", "No time"]
    [fault] = import_sheets(clean_sheets() | {"Overrides": [head, row]}, tmp_path, only_check=True).faults
    told = "a point is not overridden: the owner's inspector waives it; accepted is a waiver by the owner"
    assert str(fault).startswith(f"Overrides!D2: {told}")
