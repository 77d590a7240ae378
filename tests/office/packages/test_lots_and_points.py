"""The papers of lots and of the owner's points: what each lot asks and shows, and what the owner's inspector did."""

from pathlib import Path

import pytest

from office.importing.workbook import import_workbook
from office.queries.paper.lots import lots_paper
from office.queries.paper.points import points_paper
from office.queries.paper.title import about
from office.queries.scope import scope_of
from records.models import Job, Joint, Line
from reports.list_paper import ListPaper
from tests.office.importing.books import import_sheets
from tests.office.workbooks import change, changed_sheets, workbook_with_shop


def _rows(paper: ListPaper) -> list[list[tuple[str, ...]]]:
    return [[tuple(row) for row in section.rows] for section in paper.sections]


@pytest.mark.django_db
def test_a_lot_is_told_with_the_welds_that_stand_for_it(tmp_path: Path) -> None:
    sheets = changed_sheets([])
    sheets["Exam plans"] = [["plan", "joint kind", "method", "share", "lot basis"], ["E-1", "butt", "RT", 10, "line"]]
    assert import_sheets(sheets, tmp_path).faults == []
    job = Job.objects.get()
    line = Line.objects.get().number
    lots, welds = _rows(lots_paper(about(scope_of(job))))
    assert [row[:5] for row in lots] == [(f"line {line}", "RT of 10 % of butt welds, E-1", "2", "1", "2")]
    # Of the two butt welds of the clean workbook one was rejected by radiograph first; the reject is what counts.
    assert [(row[1], row[5], row[6], row[7]) for row in welds] == [
        ("ISO-1/1/3", "RT", "accepted", "2026-09-05"),
        ("ISO-1/1/4", "RT", "rejected", "2026-09-08"),
    ]
    assert _rows(lots_paper(about(scope_of(job, "line", line))))[1] == welds


@pytest.mark.django_db
def test_a_plan_without_lots_or_points_has_no_table(tmp_path: Path) -> None:
    import_sheets(changed_sheets([]), tmp_path)
    of = about(scope_of(Job.objects.get()))
    assert lots_paper(of).sections == () and points_paper(of).sections == ()
    assert "no plan asks a share" in lots_paper(of).empty and "No hold or witness point" in points_paper(of).empty


@pytest.mark.django_db
def test_points_are_told_with_what_the_owner_s_inspector_did(tmp_path: Path) -> None:
    file = tmp_path / "job.xlsx"
    file.write_bytes(workbook_with_shop(change("Attendances", 3, "by", "Owner Two")))
    import_workbook(file, "J-1", by=None, may_create=True)
    plan, still_open, done = _rows(points_paper(about(scope_of(Job.objects.get()))))
    assert plan == [("4.2", "hold", "RT", "butt joints", "ITP-07", "yes")]
    assert still_open == []
    assert done == [
        ("ISO-1/1/3", "0", "4.2", "hold, RT", "attended", "2026-09-05", "Owner One", ""),
        ("ISO-1/1/4", "R2", "4.2", "hold, RT", "waived", "2026-09-17", "Owner Two", ""),
    ]


@pytest.mark.django_db
def test_a_point_that_the_owner_s_inspector_has_not_settled_stands_as_open(tmp_path: Path) -> None:
    sheets = changed_sheets([])
    sheets["Hold points"] = [["point", "kind", "step"], ["3.1", "hold", "fit-up"], ["3.2", "witness", "release"]]
    assert import_sheets(sheets, tmp_path).faults == []
    of = about(scope_of(Job.objects.get()))
    _, still_open, done = _rows(points_paper(of))
    assert done == []
    open_hold = {row[0] for row in still_open if row[2:4] == ("3.1", "hold, fit-up")}
    assert {"ISO-1/1/3", "ISO-1/1/4"} <= open_hold
    told = next(row[4] for row in still_open if row[0] == "ISO-1/1/3" and row[2] == "3.1")
    assert told.startswith("pass 1 of ") and told.endswith("neither attended nor waived it")
    finished = set(Joint.objects.filter(waits=0, corrects=0, notes=0).values_list("number", flat=True))
    assert not {f"ISO-1/1/{number}" for number in finished}.intersection(row[0] for row in still_open)
