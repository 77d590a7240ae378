"""A register whose rows are several things at once: a joint, who welded it, what was examined. Guessed, shown, read as each.

What shops call their headings is common practice, no source.
"""

from datetime import date
from functools import partial

import pytest
from django.test import Client

from office.actions.check_workbook import ask_again
from office.importing.own_names import OwnNames, OwnPart, OwnSheet, keys
from office.importing.own_rows import read_by
from office.importing.sources import Source
from records.models import Examination, Heat, Job, Joint, Pass, Sheet
from tests.office.importing.pages import applied, do, page_of, sent
from tests.office.importing.register import REGISTER, form_of, named
from tests.office.importing.test_own_names import names_page
from tests.office.workbooks import as_xlsx

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("storage")]


def test_a_list_of_welders_with_a_row_a_test_is_their_qualifications_too(desk: Client, small_job: Job) -> None:
    heads = [
        "Stamp",
        "Welder name",
        "WPQ no.",
        "Process",
        "Date of test",
        "P-No.",
        "F-No.",
        "Position",
        "Coupon",
        "OD (mm)",
        "Thk (mm)",
    ]
    test = ["GTAW", date(2026, 6, 3), "P1", "6", "6G", "pipe", 60.3, 5.5]
    rows: list[list[object]] = [
        heads, ["K1", "Karla Moe", "Q-1", *test], ["K1", "Karla Moe", "Q-2", *test], ["K2", "Lars Bo", "Q-3", *test]]  # fmt: skip
    check = sent(desk, small_job, as_xlsx({"Welders": rows}))
    checked = named(desk, check, form_of(desk.get(names_page(check)).content.decode()))
    assert not checked.result["faults"], desk.get(page_of(checked)).content.decode()
    assert {one["sheet"]: one["new"] for one in checked.result["counts"]} == {
        "Welders": 3, "Welders, read as Welders": 2}  # fmt: skip


def test_what_says_nothing_of_the_job_is_passed_over(desk: Client, small_job: Job) -> None:
    """N/A and dashes, headings again on the next page, totals: common practice, no source."""
    rows = [list(row) for row in REGISTER]
    nothing: list[object] = ["N/A", "n.a.", "-", "N/A"]
    rows[3][15:19] = nothing
    rows[4:4] = [[None] * 19, rows[0], rows[1], rows[2]]
    rows += [[None] * 19, ["TOTAL", None, None, "3 welds", *[None] * 15]]
    rows[9][9:19] = [*[None] * 6, *nothing]
    check = sent(desk, small_job, as_xlsx({"Sheet1": rows}))
    checked = named(desk, check, form_of(desk.get(names_page(check)).content.decode()))
    assert not checked.result["faults"], desk.get(page_of(checked)).content.decode()
    assert {one["sheet"]: one["new"] for one in checked.result["counts"]} == {
        "Sheet1": 3, "Sheet1, read as Examinations": 3, "Sheet1, read as Weld log": 2}  # fmt: skip


def test_a_result_by_somebody_called_total_is_no_total(desk: Client, small_job: Job) -> None:
    """The attempt is mostly blank, and a row without a joint is told, not passed over."""
    heads = ["Iso", "Sht", "Weld", "Attempt", "Method", "Date", "By", "Result"]
    seen = ["PT", date(2026, 9, 2), "Total Inspection", "ACC"]
    rows = [heads, ["ISO-1", "1", "1", None, *seen], ["ISO-1", "1", None, None, *seen]]
    total = [["Total", *[None] * 6, "2"], [None, None, "Sub-total: 2", *[None] * 5]]
    check = sent(desk, small_job, as_xlsx({"NDE log": [*rows, *total]}))
    checked = named(desk, check, form_of(desk.get(names_page(check)).content.decode()))
    page = desk.get(page_of(checked)).content.decode()
    assert checked.result["faults"] == 1 and "NDE log!C3" in page and "he joint is blank" in page
    check = sent(desk, small_job, as_xlsx({"NDE log": [*rows[:2], *total]}))
    assert [(one["new"], one["refused"]) for one in check.result["counts"]] == [(1, 0)]


def test_a_heading_that_is_not_read_is_not_read_by_its_name_either(desk: Client, small_job: Job) -> None:
    heads = ["Line", "Iso", "Sht", "Weld", "Type", "Size", "Sch", "S/F", "Alias"]
    rows = [heads, ["L-100", "ISO-1", "1", "21", "SW", "2", "80", "S", "W-900"]]
    check = sent(desk, small_job, as_xlsx({"Weld list": rows}))
    said = form_of(desk.get(names_page(check)).content.decode())
    assert said["column-0-8"] == "alias"
    applied(desk, named(desk, check, {**said, "column-0-8": ""}), reason="")
    assert Joint.objects.get(job=small_job, number="21").alias == ""


def test_the_spools_of_a_sheet_are_those_that_its_joints_name(desk: Client, small_job: Job) -> None:
    heads = ["Line", "Iso", "Sht", "Rev", "Weld", "Type", "Size", "Sch", "S/F", "Spool"]
    rows: list[list[object]] = [
        heads,
        *(
            ["L-100", "ISO-9", "1", "0", str(number), "SW", "2", "80", "S", spool]
            for number, spool in enumerate("AAB", 1)
        ),
    ]
    check = sent(desk, small_job, as_xlsx({"Weld list": rows}))
    page = desk.get(names_page(check)).content.decode()
    assert "The same rows are Sheets too" in page
    applied(desk, named(desk, check, form_of(page)), reason="")
    assert [one.spool.mark for one in Joint.objects.filter(sheet__drawing="ISO-9").order_by("number") if one.spool] == [
        "A", "A", "B"]  # fmt: skip


def test_a_whole_register_comes_in_from_one_sheet(desk: Client, small_job: Job) -> None:
    check = sent(desk, small_job, as_xlsx({"Sheet1": REGISTER}))
    page = desk.get(names_page(check)).content.decode()
    assert "The same rows are Weld log too" in page and page.count("The same rows are Examinations too") == 2
    checked = named(desk, check, form_of(page))
    assert not checked.result["faults"], desk.get(page_of(checked)).content.decode()
    assert {one["sheet"]: one["new"] for one in checked.result["counts"]} == {
        "Sheet1": 3, "Sheet1, read as Examinations": 3, "Sheet1, read as Weld log": 2}  # fmt: skip
    assert not checked.result["notices"] or not any(
        "no column is called" in one for one in checked.result["notices"][1:]
    )
    applied(desk, checked, reason="")
    joints = Joint.objects.filter(job=small_job)
    assert joints.get(number="22").state == "rejected" and joints.get(number="23").state == "planned"
    welded = Pass.objects.filter(joint__job=small_job).order_by("joint__number", "order")
    assert [(one.joint.number, one.role, one.stamp.code) for one in welded] == [
        ("21", "root", "A1"), ("21", "cap", "A1"), ("22", "root", "A1"), ("22", "cap", "B2")]  # fmt: skip
    examined = Examination.objects.filter(joint__job=small_job).order_by("joint__number", "-method")
    assert [(one.joint.number, one.method, one.result, one.report) for one in examined] == [
        ("21", "VT", "accepted", ""), ("22", "VT", "accepted", ""), ("22", "RT", "rejected", "R-7")]  # fmt: skip


def test_a_register_of_each_area_is_answered_for_at_once(desk: Client, small_job: Job) -> None:
    check = sent(desk, small_job, as_xlsx({f"Area {number}": REGISTER for number in range(1, 11)}))
    said = form_of(desk.get(names_page(check)).content.decode())
    assert len(said) > 1_000
    checked = named(desk, check, said | {f"form-{number}": "" for number in range(1, 10)}, is_anew=True)
    assert not checked.result["faults"] and len(checked.result["counts"]) == 3


def test_it_is_remembered_and_the_same_register_again_changes_nothing(desk: Client, small_job: Job) -> None:
    check = sent(desk, small_job, as_xlsx({"Sheet1": REGISTER}))
    applied(desk, named(desk, check, form_of(desk.get(names_page(check)).content.decode())), reason="")
    again = sent(desk, small_job, as_xlsx({"Sheet1": REGISTER}), "next-week.xlsx")
    assert not again.result["guessed"] and not again.result["faults"] and not again.result["is_changed"]
    assert {one["sheet"]: one["unchanged"] for one in again.result["counts"]} == {
        "Sheet1": 3, "Sheet1, read as Examinations": 3, "Sheet1, read as Weld log": 2}  # fmt: skip


def test_a_fault_of_any_part_names_the_cell_of_the_register(desk: Client, small_job: Job) -> None:
    rows = [list(row) for row in REGISTER]
    rows[3][14], rows[4][18], rows[5][10] = "perhaps", "grand", "A1"
    check = sent(desk, small_job, as_xlsx({"Sheet1": rows}))
    checked = named(desk, check, form_of(desk.get(names_page(check)).content.decode()))
    page = desk.get(page_of(checked)).content.decode()
    assert checked.result["faults"] == 3
    # The first and the second examination of a row, and a welder without a day.
    for place, value in (("O4", "perhaps"), ("S5", "grand"), ("J6", "")):
        assert f"Sheet1!{place}" in page and value in page
    assert not Joint.objects.filter(job=small_job, number="21").exists()


def test_a_kind_is_added_with_what_every_row_says_and_rows_alike_are_one(desk: Client, small_job: Job) -> None:
    rows: list[list[object]] = [
        ["Iso", "Sht", "Weld", "Type", "Size", "Sch", "S/F", "Heat 1", "Heat 2", "Line"],
        ["ISO-9", "1", "1", "SW", "2", "80", "S", "N-1", "N-2", "L-100"],
        ["ISO-9", "1", "2", "SW", "2", "80", "S", "N-2", "N-1", "L-100"],
        ["ISO-9", "1", "3", "SW", "2", "80", "S", "N-3", None, "L-100"],
    ]
    check = sent(desk, small_job, as_xlsx({"Weld list": rows}))
    said = form_of(desk.get(names_page(check)).content.decode())
    for form in ("Sheets", "Heats", "Heats"):
        page = desk.post(names_page(check), {**said, "add-0": form}).content.decode()
        assert f"The same rows are {form} too" in page
        said = form_of(page)
    assert "Still missing of Sheets: revision" in page and page.count("Still missing of Heats: material") == 2
    fields = {"fixed-0-0-3": "0"}
    for block, place in ((1, "7"), (2, "8")):
        fields |= {f"from-0-{block}-0": place, f"fixed-0-{block}-1": "A106 Gr. B"}
    checked = named(desk, check, {**said, **fields})
    assert not checked.result["faults"], desk.get(page_of(checked)).content.decode()
    assert {one["sheet"]: one["new"] for one in checked.result["counts"]} == {
        "Weld list": 3, "Weld list, read as Sheets": 1, "Weld list, read as Heats": 3}  # fmt: skip
    applied(desk, checked, reason="")
    assert Sheet.objects.get(job=small_job, drawing="ISO-9").revision == "0"
    assert set(Heat.objects.filter(job=small_job, number__startswith="N-").values_list("number", flat=True)) == {
        "N-1", "N-2", "N-3"}  # fmt: skip


def test_what_two_parts_of_one_kind_say_differently_is_told_in_the_cell_of_the_second(
    desk: Client, small_job: Job
) -> None:
    rows: list[list[object]] = [
        ["Iso", "Sht", "Weld", "Type", "Size", "Sch", "S/F", "Heat 1", "Grade 1", "Heat 2", "Grade 2"],
        ["ISO-1", "1", "21", "SW", "2", "80", "S", "N-1", "A106 Gr. B", "N-2", "A105"],
        ["ISO-1", "1", "22", "SW", "2", "80", "S", "N-3", "A106 Gr. B", "N-1", "A105"],
    ]
    # A long certificate's number is told apart by its end too.
    rows[0].append("Certificate 1")
    for row, end in zip(rows[1:], "AB", strict=True):
        row.append(f"{'C' * 60}{end}")
    rows.append([*rows[1][:2], "23", *rows[1][3:7], "N-1", "A106 Gr. B", None, None, rows[2][11]])
    names = {"heat": ("heat1", "heat2"), "material": ("grade1", "grade2"), "certificate": ("certificate1", "")}
    parts = (OwnPart("Heats", {name: both[turn] for name, both in names.items()}) for turn in (0, 1))
    columns = dict(zip(keys([str(one) for one in rows[0][:7]]), ["drawing", "sheet", "joint", "kind", "NPS", "schedule",
        "location"], strict=True))  # fmt: skip
    own = OwnNames({"weldlist": OwnSheet("Joints", 1, columns, also=tuple(parts))})
    check = sent(desk, small_job, as_xlsx({"Weld list": rows}))
    checked = do(ask_again(check, by=check.asked_by, names=own))
    page = desk.get(page_of(checked)).content.decode()
    assert checked.result["faults"] == 2
    assert "Weld list!H4, J3" in page


def test_a_dash_is_the_revision_of_a_first_issue(desk: Client, small_job: Job) -> None:
    """ASME Y14.35, from memory; anywhere else a dash says nothing."""
    heads = ["Line", "Iso", "Sht", "Rev", "Weld", "Type", "Size", "Sch", "S/F", "Alias"]
    rows = [heads, ["L-100", "ISO-9", "1", "-", "1", "SW", "2", "80", "S", "-"]]
    check = sent(desk, small_job, as_xlsx({"Weld list": rows}))
    applied(desk, named(desk, check, form_of(desk.get(names_page(check)).content.decode())), reason="")
    assert Joint.objects.get(sheet__drawing="ISO-9").alias == ""
    assert Sheet.objects.get(job=small_job, drawing="ISO-9").revision == "-"


@pytest.mark.parametrize("is_first", [True, False])
def test_a_sheet_may_be_called_as_a_part_of_another_is(is_first: bool) -> None:
    part = OwnPart("Examinations", {"joint": "weld", "result": "vt"}, {"method": "VT"})
    register, other = [["Weld", "VT"], ["21", "ACC"]], [["joint", "method", "result"], ["22", "PT", "REJ"]]
    sheets = [("W", register), ("W, read as Examinations", other)]
    source = Source({name: partial(iter, rows) for name, rows in (sheets if is_first else sheets[::-1])}, [])
    found = read_by(OwnNames({"w": OwnSheet("Joints", 1, {"weld": "joint"}, also=(part,))}), source, {})
    assert len(found.readers) == 3
    assert list(found.rows("W, read as Examinations")) == other
    assert [list(found.rows(name))[1] for name in found.parts] == [["21", "ACC", "VT"]]


def test_a_certificate_without_its_heat_is_told_and_a_material_alone_is_passed_over(
    desk: Client, small_job: Job
) -> None:
    rows: list[list[object]] = [
        ["Iso", "Sht", "Weld", "Type", "Size", "Sch", "S/F", "Heat A", "Grade", "Certificate"],
        ["ISO-1", "1", "21", "SW", "2", "80", "S", "N-1", "A106 Gr. B", "C-1"],
        ["ISO-1", "1", "22", "SW", "2", "80", "S", None, "A106 Gr. B", None],
    ]
    heats = OwnPart("Heats", {"heat": "heata", "material": "grade", "certificate": "certificate"})
    columns = dict(zip(keys([str(one) for one in rows[0][:8]]), ["drawing", "sheet", "joint", "kind", "NPS", "schedule",
        "location", "heat A"], strict=True))  # fmt: skip
    own = OwnNames({"weldlist": OwnSheet("Joints", 1, columns, also=(heats,))})
    faults = []
    for certificate in (None, "C-2"):
        rows[2][9] = certificate
        check = sent(desk, small_job, as_xlsx({"Weld list": rows}))
        checked = do(ask_again(check, by=check.asked_by, names=own))
        faults.append(checked.result["faults"])
    assert faults == [0, 1] and "Weld list!H3" in desk.get(page_of(checked)).content.decode()


def test_one_heading_serves_several_columns_and_its_fault_is_told_once(desk: Client, small_job: Job) -> None:
    rows = [list(row) for row in REGISTER]
    rows[4][10] = "Z9"
    check = sent(desk, small_job, as_xlsx({"Sheet1": rows}))
    said = form_of(desk.get(names_page(check)).content.decode())
    place = next(name for name, value in said.items() if value == "Weld log").rpartition("-")[2]
    cap = next(name for name, value in said.items() if name.startswith(f"from-0-{place}-") and value == "11")
    checked = named(desk, check, {**said, cap: "10"})
    page = desk.get(page_of(checked)).content.decode()
    assert "Sheet1!K5" in page and "here is no stamp" in page
    rows[4][10] = "B2"
    mended = sent(desk, small_job, as_xlsx({"Sheet1": rows}))
    applied(desk, mended, reason="")
    welded = Pass.objects.filter(joint__job=small_job, joint__number="22").order_by("order")
    assert [(one.role, one.stamp.code) for one in welded] == [("root", "B2"), ("cap", "B2")]


def test_a_part_is_left_out_again(desk: Client, small_job: Job) -> None:
    check = sent(desk, small_job, as_xlsx({"Sheet1": REGISTER}))
    said = form_of(desk.get(names_page(check)).content.decode())
    kinds = [name for name in said if name.startswith("also-0-")]
    checked = named(desk, check, {**said, **dict.fromkeys(kinds, "")})
    assert [one["sheet"] for one in checked.result["counts"]] == ["Sheet1"]


def test_what_a_sheet_is_besides_is_kept_and_read_back_alike() -> None:
    heats = OwnPart("Heats", {"heat": "heat1"}, {"material": "A105"})
    names = OwnNames({"welds": OwnSheet("Joints", 3, {"weld": "joint"}, also=(heats,))})
    assert OwnNames.kept(names.keep()) == names


def test_a_text_for_every_row_beside_a_heading_is_told_and_neither_is_lost(desk: Client, small_job: Job) -> None:
    check = sent(desk, small_job, as_xlsx({"Sheet1": REGISTER}))
    said = form_of(desk.get(names_page(check)).content.decode())
    place = next(name for name, value in said.items() if value == "Weld log").rpartition("-")[2]
    cap = next(name for name, value in said.items() if name.startswith(f"from-0-{place}-") and value == "11")
    typed = {**said, cap.replace("from", "fixed"): "B2"}
    again = desk.post(names_page(check), {**typed, "add-0": "Heats"})
    shown = form_of(again.content.decode())
    assert again.status_code == 200 and (shown[cap], shown[cap.replace("from", "fixed")]) == ("11", "B2")
    answer = desk.post(names_page(check), typed)
    page = answer.content.decode()
    assert answer.status_code == 422
    told = "In Sheet1, cap stamp of Weld log is read from “Cap”, and “B2” is written for every row too; accepted is one"
    assert told in page
    kept = form_of(page)
    assert (kept[cap], kept[cap.replace("from", "fixed")]) == ("11", "B2")
    checked = named(desk, check, {**kept, cap: ""})
    assert not checked.result["faults"], desk.get(page_of(checked)).content.decode()
