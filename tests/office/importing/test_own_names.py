"""People's own sheets and headings: guessed by the trade's words, shown, confirmed, remembered, applied before a preview."""

import csv
import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from office.importing.guessing import guess
from office.importing.own_names import OwnNames, OwnSheet
from office.queries.own_names import seen_in
from records.models import Job, Joint, Work
from tests.office.importing.books import write_ods
from tests.office.importing.pages import applied, do, page_of, sent
from tests.office.workbooks import as_xlsx

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("storage")]

# A weld list as a site keeps it: a title above, its own words, a column that is nobody's, and a kind with short forms.
HEADS = ["Iso No.", "Sht", "Weld #", "Joint Type", "Shop/Field", "Size (in)", "Sch", "Heat No 1", "Mood"]
ROWS: list[list[object]] = [
    ["Unit 20 weld list", None, None],
    [],
    list(HEADS),
    ["ISO-1", "1", "21", "SW", "S", "2", "80", "H-1", "sunny"],
    ["ISO-1", "1", "22", "BW", "F", "2", "80", "H-1", "grim"],
]
MEANT = ["drawing", "sheet", "joint", "kind", "location", "NPS", "schedule", "heat A", ""]


def _xlsx(rows: list[list[object]], path: Path) -> tuple[bytes, str]:
    return as_xlsx({"Weld list": rows}), "site.xlsx"


def _ods(rows: list[list[object]], path: Path) -> tuple[bytes, str]:
    return write_ods({"Weld list": rows}, path / "site.ods").read_bytes(), "site.ods"


def _csv(rows: list[list[object]], path: Path) -> tuple[bytes, str]:
    text = io.StringIO()
    csv.writer(text, delimiter=";").writerows(rows)
    return text.getvalue().encode(), "Weld list.csv"


def _texts(rows: list[list[object]]) -> list[list[str]]:
    return [["" if cell is None else str(cell) for cell in row] for row in rows]


def names_page(work: Work) -> str:
    """The address where a check's names are said."""
    return reverse("import-names", args=[work.job.code, work.id])


def said(**changes: Any) -> dict[str, Any]:
    """What the page of the weld list sends back when its guesses are confirmed."""
    columns = {f"column-0-{place}": column for place, column in enumerate(MEANT)}
    return {"form-0": "Joints", "row-0": "3", "shown-0": "Joints/3", **columns, **changes}


def confirmed(desk: Client, check: Work, **changes: Any) -> Work:
    """Say what the names mean, and return the check that follows, done."""
    answer = desk.post(names_page(check), said(**changes))
    assert answer.status_code == 302, answer.content.decode()
    return do(Work.objects.get(id=answer["Location"].rstrip("/").rpartition("/")[2]))


def test_a_site_list_is_guessed_by_the_words_of_the_trade() -> None:
    found = guess("Weld list", _texts(ROWS), OwnNames())
    assert (found.form, found.row, found.is_sure, found.lacking) == ("Joints", 3, False, ())
    assert [(one.written, one.column) for one in found.headings] == list(zip(HEADS, MEANT, strict=True))
    assert found.headings[2].values == ("21", "22")


def test_a_sheet_without_a_telling_name_is_guessed_by_its_headings() -> None:
    assert guess("Sheet1", _texts(ROWS), OwnNames()).form == "Joints"
    assert guess("Sheet1", [["Stamp", "Welder name"], ["A1", "Ann"]], OwnNames()).form == "Welders"
    assert guess("Holidays", [["who", "when"], ["Ann", "July"]], OwnNames()).form == ""


def test_headings_near_a_name_are_guessed_and_no_column_twice() -> None:
    found = guess("Joints", [["drawing", "sheet", "joint", "weld no", "schedul", "heat A", "xyz"]], OwnNames())
    assert [one.column for one in found.headings] == ["drawing", "sheet", "joint", "", "schedule", "heat A", ""]
    assert [one.is_said for one in found.headings] == [True, True, True, True, False, True, True]


def test_a_running_logs_own_day_and_a_size_with_its_unit_are_guessed() -> None:
    log = ["Drawing No", "Sheet", "Weld No", "Fit up date", "Welded date", "WPS", "Root welder", "Wire batch"]
    found = guess("Weld Log Nov", [log], OwnNames())
    assert [one.column for one in found.headings] == [
        "drawing", "sheet", "joint", "", "date", "procedure", "root stamp", "filler lot"
    ]  # fmt: skip
    sized = guess("Joints", [["drawing", "sheet", "joint", "Size DN", "Size of it"]], OwnNames())
    assert [one.column for one in sized.headings][3:] == ["NPS", ""]


def test_the_headings_are_found_again_where_a_line_more_stands_above_them(desk: Client, small_job: Job) -> None:
    confirmed(desk, sent(desk, small_job, as_xlsx({"Weld list": ROWS})))
    lower = sent(desk, small_job, as_xlsx({"Weld list": [["Printed in May", "by Ann"], *ROWS]}), "next-week.xlsx")
    assert not lower.result["faults"] and lower.result["counts"][0]["new"] == 2


def test_whole_numbers_of_a_spreadsheet_are_shown_as_written(desk: Client, small_job: Job) -> None:
    rows = [HEADS, ["ISO-1", 1, 21, "SW", "S", 2, 80, "H-1", "sunny"]]
    check = sent(desk, small_job, as_xlsx({"Weld list": rows}))
    assert "1.0" not in desk.get(names_page(check)).content.decode()


def test_a_file_that_can_t_be_read_says_so_whatever_its_name(desk: Client, small_job: Job) -> None:
    check = sent(desk, small_job, "Stamp;Navn\nB2;Åse".encode("latin-1"), "crew.csv")
    shown = desk.get(page_of(check)).content.decode()
    assert "Is not written in UTF-8" in shown and "holds no sheet" not in shown


def test_a_workbook_of_the_known_names_has_nothing_to_guess(desk: Client, small_job: Job) -> None:
    heads = ["drawing", "sheet", "joint", "kind", "location", "NPS", "schedule", "Notes"]
    check = sent(desk, small_job, as_xlsx({"Joints": [heads, ["ISO-1", "1", "30", "SW", "S", "2", "80", "x"]]}))
    assert not check.result["guessed"]
    assert "Say what they mean" not in desk.get(page_of(check)).content.decode()


@pytest.mark.parametrize("write", [_xlsx, _ods, _csv])
def test_a_site_list_is_named_checked_and_applied(
    write: Callable[[list[list[object]], Path], tuple[bytes, str]], desk: Client, small_job: Job, tmp_path: Path
) -> None:
    check = sent(desk, small_job, *write(ROWS, tmp_path))
    page = desk.get(page_of(check)).content.decode()
    assert "Say what they mean" in page and check.result["guessed"] == 1
    shown = desk.get(names_page(check)).content.decode()
    assert "Weld #" in shown and "<option selected>joint</option>" in shown and "21 · 22" in shown

    named = confirmed(desk, check)
    assert not named.result["faults"] and named.result["counts"][0]["new"] == 2
    assert "no column is called &quot;Mood&quot;" in desk.get(page_of(named)).content.decode()
    before = set(Joint.objects.values_list("number", flat=True))
    applied(desk, named, reason="")
    new = Joint.objects.filter(job=small_job).exclude(number__in=before)
    assert {(one.number, one.kind, one.location) for one in new} == {("21", "socket", "shop"), ("22", "butt", "field")}


def test_a_fault_still_names_the_cell_of_the_persons_own_file(desk: Client, small_job: Job) -> None:
    rows = [*ROWS, ["ISO-1", "1", "23", "glued", "S", "2", "80", "H-1", "none"]]
    named = confirmed(desk, sent(desk, small_job, as_xlsx({"Weld list": rows})))
    shown = desk.get(page_of(named)).content.decode()
    assert named.result["faults"] == 1 and "Weld list!D6" in shown and "glued" in shown


def test_what_was_said_is_remembered_for_the_job(desk: Client, small_job: Job) -> None:
    confirmed(desk, sent(desk, small_job, as_xlsx({"Weld list": ROWS})))
    again = sent(desk, small_job, as_xlsx({"Weld list": ROWS}), "next-week.xlsx")
    assert not again.result["faults"] and again.result["counts"][0]["new"] == 2 and not again.result["guessed"]
    # A list under another name is guessed by what was said, odd headings included.
    odd = [["Tag", *HEADS[1:]] if row == ROWS[2] else row for row in ROWS]
    confirmed(desk, sent(desk, small_job, as_xlsx({"Weld list": odd})))
    other = sent(desk, small_job, as_xlsx({"Site list of May": odd}), "may.xlsx")
    names = OwnNames.kept(other.arguments["names"])
    found = guess("Site list of May", seen_in(other)["Site list of May"], names)
    assert (found.form, found.headings[0].column) == ("Joints", "drawing")


def test_a_sheet_taken_for_another_is_guessed_anew_before_it_is_checked(desk: Client, small_job: Job) -> None:
    check = sent(desk, small_job, as_xlsx({"Weld list": ROWS}))
    checks = Work.objects.count()
    answer = desk.post(names_page(check), said(**{"form-0": "Weld log"}))
    shown = answer.content.decode()
    assert answer.status_code == 200 and "guessed anew" in shown and "root stamp" in shown
    assert Work.objects.count() == checks


def test_two_headings_of_one_column_are_refused_in_a_sentence(desk: Client, small_job: Job) -> None:
    check = sent(desk, small_job, as_xlsx({"Weld list": ROWS}))
    answer = desk.post(names_page(check), said(**{"column-0-8": "joint"}))
    assert answer.status_code == 422
    assert "“Weld #” and “Mood” are both said to be joint" in answer.content.decode()


def test_a_sheet_said_to_be_none_of_the_job_is_told_and_left_out(desk: Client, small_job: Job) -> None:
    check = sent(desk, small_job, as_xlsx({"Weld list": ROWS, "Welders": [["stamp", "name"], ["N1", "New One"]]}))
    answer = desk.post(
        names_page(check),
        {
            "form-0": "",
            "shown-0": "/3",
            "form-1": "Welders",
            "row-1": "1",
            "shown-1": "Welders/1",
            "column-1-0": "stamp",
        },
    )
    named = do(Work.objects.get(id=answer["Location"].rstrip("/").rpartition("/")[2]))
    assert [one["sheet"] for one in named.result["counts"]] == ["Welders"]
    assert "Weld list: it was said to be no sheet of the job" in desk.get(page_of(named)).content.decode()


def test_names_are_kept_and_read_back_alike() -> None:
    names = OwnNames({"weldlist": OwnSheet("Joints", 3, {"weld": "joint", "mood": ""})})
    assert OwnNames.kept(names.keep()) == names
