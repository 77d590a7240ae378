"""What a row of Joints takes from its pieces, heats, line and the tables of pipe; names that nothing has."""

from decimal import Decimal
from pathlib import Path

import pytest

from records.models import Certificate, Joint, Line, ProcedurePass, Qualification, Spool, Welder
from tests.builders import UserBuilder
from tests.office.importing.books import import_sheets, only
from tests.office.workbooks import Sheets, clean_sheets

pytestmark = pytest.mark.django_db
_KEY = ["drawing", "sheet"]


def _with_components() -> Sheets:
    sheets = only(clean_sheets(), "Job", "Lines", "Sheets", "Exam plans", "Heats", "Procedures")
    sheets["Components"] = [
        [*_KEY, "piece", "kind", "NPS", "schedule", "class", "material", "heat", "length"],
        ["ISO-1", "1", "1", "pipe", "2", "80", None, None, "H-1", "2' 3-1/2\""],
        ["ISO-1", "1", "2", "elbow-90", "2", None, "3000", "A105", "H-2", None],
    ]
    sheets["Joints"] = [
        [*_KEY, "joint", "kind", "location", "NPS", "schedule", "spool", "piece A", "piece B", "procedure"],
        ["ISO-1", "1", "10", "socket", "shop", "2", "80", "SP-1", "1", "2", "P-1"],
        ["ISO-1", "1", "9", "socket", "field", "2", "80", None, None, None, None],
    ]
    return sheets


def test_a_joint_takes_heats_material_and_class_from_its_pieces(tmp_path: Path) -> None:
    assert import_sheets(_with_components(), tmp_path).faults == []
    joint = Joint.objects.get(number="10")
    assert (joint.heat_a.number, joint.heat_b.number) == ("H-1", "H-2")  # type: ignore[union-attr]
    assert (joint.material_a, joint.material_b, joint.socket_class) == ("A106 Gr. B", "A105", "3000")
    assert joint.piece_a is not None and joint.piece_a.length_mm == Decimal("698.5")
    assert joint.spool is not None and joint.spool.mark == "SP-1"


def test_a_joint_without_pieces_takes_its_material_from_the_line(tmp_path: Path) -> None:
    import_sheets(_with_components(), tmp_path)
    joint = Joint.objects.get(number="9")
    assert (joint.material_a, joint.heat_a, joint.socket_class) == ("A106 Gr. B", None, "")


def test_a_line_of_several_materials_and_sizes_names_none(tmp_path: Path) -> None:
    sheets = _with_components()
    heads = sheets["Lines"][0]
    for name in ("material", "NPS", "schedule"):
        sheets["Lines"][1][heads.index(name)] = None
    assert import_sheets(sheets, tmp_path).faults == []
    line = Line.objects.get()
    assert (line.material, line.nps, line.schedule) == ("", "", "")
    # What its pieces and heats say still stands; what nothing says stays empty.
    assert Joint.objects.get(number="10").material_b == "A105"
    assert Joint.objects.get(number="9").material_a == ""


def test_a_us_job_takes_the_inch_figures_of_the_pipe(tmp_path: Path) -> None:
    import_sheets(_with_components(), tmp_path)
    joint = Joint.objects.get(number="10")
    # NPS 2 schedule 80: 2.375 in and 0.218 in by ASME B36.10M, not the rounded 60.3 mm and 5.54 mm
    assert (joint.od_mm, joint.wall_mm) == (Decimal("60.325"), Decimal("5.5372"))


def test_joints_sort_by_their_figures(tmp_path: Path) -> None:
    import_sheets(_with_components(), tmp_path)
    assert list(Joint.objects.order_by("sort_key").values_list("number", flat=True)) == ["9", "10"]


def test_references_resolve_in_any_order_of_sheets(tmp_path: Path) -> None:
    sheets = _with_components()
    assert import_sheets(dict(reversed(sheets.items())), tmp_path).faults == []


def test_a_later_workbook_refers_to_what_is_stored(tmp_path: Path) -> None:
    import_sheets(_with_components(), tmp_path)
    later = {
        "Joints": [_with_components()["Joints"][0], ["ISO-1", "1", "11", "SW", "S", "2", "80", "SP-1", "1", "2", "P-1"]]
    }
    outcome = import_sheets(later, tmp_path)
    assert outcome.faults == [] and outcome.counts["Joints"].new == 1
    assert Joint.objects.get(number="11").heat_a.number == "H-1"  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("column", "value", "place", "words"),
    [
        ("piece A", "7", "I2", "no piece"),
        ("spool", "SP-9", "H2", "SP-1"),
        ("procedure", "P-11", "K2", "P-1"),
        ("drawing", "ISO-2", "A2", "ISO-1/1"),
    ],
)
def test_an_unknown_name_is_refused_with_the_nearest(
    column: str, value: str, place: str, words: str, tmp_path: Path
) -> None:
    sheets = _with_components()
    sheets["Joints"][1][sheets["Joints"][0].index(column)] = value
    outcome = import_sheets(sheets, tmp_path)
    assert [fault.split(":")[0] for fault in outcome.faults] == [f"Joints!{place}"]
    assert words in outcome.faults[0]


def test_a_drawing_without_a_row_in_sheets_is_refused(tmp_path: Path) -> None:
    sheets = _with_components()
    del sheets["Sheets"]
    outcome = import_sheets(sheets, tmp_path)
    assert all("no drawing sheet" in fault for fault in outcome.faults) and len(outcome.faults) == 4


def test_a_test_of_two_processes_is_two_qualifications(tmp_path: Path) -> None:
    sheets = only(clean_sheets(), "Job", "Welders", "Qualifications")
    other = list(sheets["Qualifications"][1])
    other[2], other[5] = "SMAW", "4"
    sheets["Qualifications"].append(other)
    assert import_sheets(sheets, tmp_path).faults == []
    assert Qualification.objects.filter(wpq="Q-1").count() == 2
    assert not import_sheets(sheets, tmp_path).is_changed


def test_the_process_of_a_single_test_can_be_mended(tmp_path: Path) -> None:
    sheets = only(clean_sheets(), "Job", "Welders", "Qualifications")
    import_sheets(sheets, tmp_path)
    sheets["Qualifications"][1][2] = "FCAW"
    outcome = import_sheets(sheets, tmp_path)
    assert outcome.changed == ["Qualifications!row 2: process GTAW -> FCAW"]
    assert Qualification.objects.count() == 2


def test_a_procedure_may_have_two_processes_for_one_pass(tmp_path: Path) -> None:
    sheets = only(clean_sheets(), "Job", "Procedures", "Procedure passes")
    sheets["Procedure passes"].append(["P-2", "fill", "GTAW", "ER70S-6", "3/32", "6", 70, 130])
    assert import_sheets(sheets, tmp_path).faults == []
    assert ProcedurePass.objects.filter(procedure__number="P-2", role="fill").count() == 2
    assert not import_sheets(sheets, tmp_path).is_changed


def test_a_sign_in_that_nobody_has_yet_is_told_and_found_later(tmp_path: Path) -> None:
    sheets = only(clean_sheets(), "Job", "Welders")
    sheets["Welders"] = [[*row, "sign-in" if place == 0 else "arne"] for place, row in enumerate(sheets["Welders"][:2])]
    outcome = import_sheets(sheets, tmp_path)
    assert outcome.faults == [] and any("arne" in line for line in outcome.notices)
    person = UserBuilder(username="arne")
    assert import_sheets(sheets, tmp_path).is_changed
    assert Welder.objects.get().user == person


def test_certificates_and_spools_are_made_once(tmp_path: Path) -> None:
    import_sheets(clean_sheets(), tmp_path)
    import_sheets(clean_sheets(), tmp_path)
    assert sorted(Certificate.objects.values_list("number", flat=True)) == ["C-1", "C-2", "C-3", "FC-1", "FC-2"]
    assert Spool.objects.count() == 1


def test_a_material_that_no_list_has_is_told(tmp_path: Path) -> None:
    sheets = _with_components()
    sheets["Heats"][1][1] = "Unobtainium 7"
    outcome = import_sheets(sheets, tmp_path)
    assert outcome.faults == [] and any("Unobtainium 7" in line for line in outcome.notices)


def test_a_drawing_sheet_takes_its_joints_to_another_line(tmp_path: Path) -> None:
    import_sheets(_with_components(), tmp_path)
    sheets = only(clean_sheets(), "Lines", "Sheets")
    sheets["Lines"].append(["L-200", *sheets["Lines"][1][1:6], None])
    sheets["Sheets"][1][0] = "L-200"
    sheets["Sheets"] = [row[:4] for row in sheets["Sheets"]]
    assert import_sheets(sheets, tmp_path).faults == []
    assert set(Joint.objects.values_list("line__number", flat=True)) == {"L-200"}


def test_where_nothing_of_a_kind_is_known_the_sheet_that_brings_it_is_named(tmp_path: Path) -> None:
    sheets = clean_sheets()
    for name in sheets:
        if name not in ("Job", "Lines", "Sheets", "Joints"):
            sheets[name] = sheets[name][:1]
    told = import_sheets(sheets, tmp_path).faults
    said = {line.partition("; ")[2] for line in told}
    for sheet in ("Heats", "Procedures"):
        assert f"none is known yet: the sheet {sheet} brings them in, in this workbook or before it" in said


def test_thousands_of_unknown_names_are_told_in_good_time(tmp_path: Path) -> None:
    sheets = _with_components()
    sheets["Heats"] += [[f"A-{number:04}", "A105", *sheets["Heats"][1][2:]] for number in range(2000)]
    row = sheets["Joints"][1]
    sheets["Joints"][0].append("heat A")
    sheets["Joints"] += [[*row[:2], str(number), *row[3:], f"B-{number:04}"] for number in range(20, 2020)]
    outcome = import_sheets(sheets, tmp_path)
    assert len(outcome.faults) == 2000
    assert outcome.faults[0].startswith("Joints!L4:") and "A-" in outcome.faults[0]
