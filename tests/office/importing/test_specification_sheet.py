"""The sheet Specification: limits with figures as typed, once only, and what is wrong with a cell."""

from pathlib import Path

import pytest

from records.models import Finding, OwnerLimit
from tests.office.importing.books import import_sheets
from tests.office.workbooks import Sheets, clean_sheets

pytestmark = pytest.mark.django_db
_COLUMNS: list[object] = ["limit", "figure", "specification", "clause", "joint kind", "fluid service", "mode"]


def _with(*rows: list[object]) -> Sheets:
    return clean_sheets() | {"Specification": [_COLUMNS, *rows]}


def test_limits_are_read_with_their_units_and_judge_the_joints(tmp_path: Path) -> None:
    outcome = import_sheets(
        _with(
            ["gap max", "1 mm", "PS-110", "6.3", "SW", None, None],
            ["preheat min", "70 F", "PS-110", "6.9", "all", "severe cyclic", "replaced"],
            ["RT share min", "10 %", "PS-110", "8.1", "groove", "Normal", None],
        ),
        tmp_path,
    )
    assert outcome.faults == []
    rows = {row.limit: row for row in OwnerLimit.objects.all()}
    gap, preheat, share = rows["gap max"], rows["preheat min"], rows["RT share min"]
    assert (gap.value, gap.joint_kind, gap.service, gap.mode, gap.typed) == (1, "socket", "", "tightened", "1 mm")
    # 70 F is 21.1111 C.
    assert (round(float(preheat.value), 4), preheat.service, preheat.mode) == (21.1111, "Severe cyclic", "replaced")
    assert (share.value, share.joint_kind, share.service) == (10, "groove", "Normal")
    # The sockets of the clean workbook were fitted with 1/16 in, which is 1.6 mm.
    found = Finding.objects.filter(code="gap-out-of-range")
    assert {one.source for one in found} == {"Owner's specification PS-110, 6.3"} and found.count() > 0


def test_the_same_sheet_again_changes_nothing(tmp_path: Path) -> None:
    sheets = _with(["gap max", "1/8", "PS-110", "6.3", None, None, None])
    import_sheets(sheets, tmp_path)
    outcome = import_sheets(sheets, tmp_path)
    assert (outcome.is_changed, outcome.counts["Specification"].unchanged) == (False, 1)


def test_a_new_figure_changes_the_row_and_is_told(tmp_path: Path) -> None:
    import_sheets(_with(["gap max", "1/8", "PS-110", "6.3", None, None, None]), tmp_path)
    outcome = import_sheets(_with(["gap max", "3/32", "PS-110", "6.3", None, None, None]), tmp_path)
    assert outcome.counts["Specification"].changed == 1
    assert OwnerLimit.objects.get().typed == "3/32"
    assert any("1/8 -> 3/32" in told for told in outcome.changed)


@pytest.mark.parametrize(
    ("row", "place", "says"),
    [
        (["gap", "1/8", "PS-110", "6.3"], "A2", "is no limit"),
        (["gap max", "12 psi", "PS-110", "6.3"], "B2", "not a length"),
        (["passes min", "half", "PS-110", "6.3"], "B2", "not a number"),
        (["gap max", "1/8", None, "6.3"], "C2", "blank"),
        (["gap max", "1/8", "PS-110", "6.3", "elbow"], "E2", "is no joint kind"),
    ],
)
def test_a_bad_cell_is_named_and_nothing_is_written(tmp_path: Path, row: list[object], place: str, says: str) -> None:
    outcome = import_sheets(_with(row), tmp_path)
    assert any(fault.startswith(f"Specification!{place}: ") and says in fault for fault in outcome.faults)
    assert not OwnerLimit.objects.exists()


def test_two_rows_for_the_same_joints_are_told(tmp_path: Path) -> None:
    rows: list[list[object]] = [
        ["gap max", figure, "PS-110", "6.3", "socket", None, None] for figure in ("1/8", "1/16")
    ]
    assert any("Specification!" in fault for fault in import_sheets(_with(*rows), tmp_path).faults)
