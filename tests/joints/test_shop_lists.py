"""Pieces, spools and filler lots as files: the filters of their pages, both forms alike, formulas guarded."""

import csv
import io
from pathlib import Path

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from python_calamine import CalamineWorkbook

from records.models import FillerLot, Job, LotMove, Piece, Spool, User
from tests.builders import FillerLotBuilder, JobBuilder, MembershipBuilder
from tests.conftest import SignIn
from tests.many import many_joints
from tests.shop import stock

pytestmark = pytest.mark.django_db
LISTS = ("pieces", "spools", "filler-lots")


def content(browser: Client, path: str) -> bytes:
    answer = browser.get(path)
    assert answer.status_code == 200 and "attachment" in answer["Content-Disposition"]
    return b"".join(answer.streaming_content)  # type: ignore[attr-defined]


def rows_of(browser: Client, job: Job, path: str) -> list[dict[str, str]]:
    text = content(browser, f"/jobs/{job.code}/{path}").decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text, newline="")))


def stocked(job: Job, by: User, joints: int) -> Job:
    many_joints(job, joints)
    FillerLotBuilder(job=job, number="L-1")
    stock(job, by)
    return job


def test_pieces_are_listed_with_their_joints_and_where_they_are(job: Job, engineer: User, sign_in: SignIn) -> None:
    browser = sign_in(engineer)
    rows = rows_of(browser, stocked(job, engineer, 12), "pieces.csv")
    assert len(rows) == Piece.objects.filter(job=job).count() == 12
    # By hand: `stock` makes each joint of a piece with the joint's own number.
    assert all(row["joints"] == row["piece"] and row["kind"] == "pipe" for row in rows)
    assert rows_of(browser, job, "pieces.csv?state=scrapped") == []
    # A search finds heats and drawings too, whose numbers follow those of the tests before.
    assert "7" in [row["piece"] for row in rows_of(browser, job, "pieces.csv?search=7")]
    assert rows_of(browser, job, "pieces.csv?search=no+such+piece") == []


def test_spools_are_counted_as_their_page_counts_them(job: Job, engineer: User, sign_in: SignIn) -> None:
    browser = sign_in(engineer)
    rows = rows_of(browser, stocked(job, engineer, 12), "spools.csv")
    assert len(rows) == Spool.objects.filter(job=job).count()
    # By hand: the 12 joints were all put on spools by `stock`.
    assert sum(int(row["joints"]) for row in rows) == 12
    one = rows[0]["line"]
    assert {row["line"] for row in rows_of(browser, job, f"spools.csv?line={one}")} == {one}


def test_filler_lots_say_who_has_some_out(job: Job, engineer: User, sign_in: SignIn) -> None:
    stocked(job, engineer, 3)
    lot = FillerLot.objects.filter(job=job).order_by("number")[0]
    (row,) = [row for row in rows_of(sign_in(engineer), job, "filler-lots.csv") if row["lot"] == lot.number]
    assert int(row["moves"]) == LotMove.objects.filter(lot=lot).count() == 1
    assert rows_of(sign_in(engineer), job, "filler-lots.csv?search=no+such") == []


@pytest.mark.parametrize("name", LISTS)
def test_both_forms_say_the_same_and_the_page_offers_them(
    name: str, job: Job, engineer: User, sign_in: SignIn, tmp_path: Path
) -> None:
    browser = sign_in(engineer)
    rows = rows_of(browser, stocked(job, engineer, 5), f"{name}.csv")
    (tmp_path / "list.xlsx").write_bytes(content(browser, f"/jobs/{job.code}/{name}.xlsx"))
    heads, *table = CalamineWorkbook.from_path(str(tmp_path / "list.xlsx")).get_sheet_by_index(0).to_python()
    assert rows and heads == list(rows[0])
    assert [list(row.values()) for row in rows] == [[str(cell).removesuffix(".0") for cell in row] for row in table]
    shown = browser.get(f"/jobs/{job.code}/{name}/?search=1").content.decode()
    assert f'href="/jobs/{job.code}/{name}.xlsx?search=1"' in shown


def test_a_lot_that_begins_like_a_formula_is_guarded(job: Job, engineer: User, sign_in: SignIn) -> None:
    FillerLotBuilder(job=job, number="=1+1")
    assert [row["lot"] for row in rows_of(sign_in(engineer), job, "filler-lots.csv")] == ["'=1+1"]


@pytest.mark.parametrize("name", LISTS)
def test_costs_the_same_queries_at_10_and_at_300_joints(name: str, engineer: User, sign_in: SignIn) -> None:
    counts = []
    for size in (10, 300):
        job = JobBuilder(code=f"SIZE-{size}")
        MembershipBuilder(job=job, user=engineer, role="engineer")
        stocked(job, engineer, size)
        browser = sign_in(engineer)
        with CaptureQueriesContext(connection) as queries:
            assert content(browser, f"/jobs/{job.code}/{name}.csv")
        counts.append(len(queries))
    assert counts[0] == counts[1] <= 14
