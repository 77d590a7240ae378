"""Every list as a file: the same filters as its page, as many queries at ten rows as at a thousand, flat and guarded."""

import csv
import io
from pathlib import Path

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from python_calamine import CalamineWorkbook

from records import paging
from records.models import Finding, Heat, Job, Joint, Line, User
from tests.builders import (
    HeatBuilder,
    JobBuilder,
    MembershipBuilder,
    QualificationBuilder,
    StampBuilder,
    WelderBuilder,
)
from tests.conftest import SignIn
from tests.many import many_joints

pytestmark = pytest.mark.django_db
LISTS = ("weld-log", "findings", "heats", "welders", "papers/lines")


def read_csv(browser: Client, path: str) -> list[dict[str, str]]:
    answer = browser.get(f"/jobs/HW-7/{path}")
    assert answer.status_code == 200
    assert answer["Content-Type"] == "text/csv; charset=utf-8" and "attachment" in answer["Content-Disposition"]
    text = b"".join(answer.streaming_content).decode("utf-8-sig")  # type: ignore[attr-defined]
    return list(csv.DictReader(io.StringIO(text, newline="")))


def read_xlsx(browser: Client, path: str, folder: Path) -> list[list[str]]:
    answer = browser.get(f"/jobs/HW-7/{path}")
    assert answer.status_code == 200 and answer["X-Content-Type-Options"] == "nosniff"
    (folder / "list.xlsx").write_bytes(b"".join(answer.streaming_content))  # type: ignore[attr-defined]
    book = CalamineWorkbook.from_path(str(folder / "list.xlsx"))
    return [[str(cell) for cell in row] for row in book.get_sheet_by_index(0).to_python()]


def test_the_weld_log_has_every_joint_in_order_and_its_worst_finding(
    job: Job, client_person: User, sign_in: SignIn
) -> None:
    many_joints(job, 25)
    rows = read_csv(sign_in(client_person), "weld-log.csv")
    assert [row["joint"] for row in rows] == [str(number) for number in range(1, 26)]
    assert {row["worst finding"] for row in rows} == {"stop", "correct"}
    assert rows[0]["drawing"] == Joint.objects.get(job=job, number="1").sheet.drawing


@pytest.mark.parametrize(
    ("path", "column", "values"),
    [
        ("weld-log.csv?state=rejected", "state", {"rejected"}),
        ("weld-log.csv?due=RT", "examinations due", {"VT, RT"}),
        ("findings.csv?severity=stop", "severity", {"stop"}),
        ("findings.csv?code=gap-out-of-range", "finding", {"gap-out-of-range"}),
        ("heats.csv?search=Q9-77", "heat", {"Q9-77"}),
    ],
)
def test_a_filter_of_the_page_is_one_of_the_file(
    path: str, column: str, values: set[str], job: Job, engineer: User, sign_in: SignIn
) -> None:
    many_joints(job, 14)
    HeatBuilder(job=job, number="Q9-77")
    rows = read_csv(sign_in(engineer), path)
    assert rows and {row[column] for row in rows} == values


def test_what_matches_nothing_is_a_file_of_heads(job: Job, engineer: User, sign_in: SignIn, tmp_path: Path) -> None:
    many_joints(job, 3)
    browser = sign_in(engineer)
    assert read_csv(browser, "weld-log.csv?line=NO-1") == []
    assert len(read_xlsx(browser, "findings.xlsx?line=NO-1", tmp_path)) == 1


@pytest.mark.parametrize("name", LISTS)
def test_both_forms_say_the_same(name: str, job: Job, engineer: User, sign_in: SignIn, tmp_path: Path) -> None:
    many_joints(job, 30)
    browser = sign_in(engineer)
    rows = read_csv(browser, f"{name}.csv")
    heads, *table = read_xlsx(browser, f"{name}.xlsx", tmp_path)
    assert rows and heads == list(rows[0])
    assert [[str(cell) for cell in row.values()] for row in rows] == [
        [cell.removesuffix(".0") for cell in row] for row in table
    ]


def test_a_number_that_begins_like_a_formula_is_guarded(job: Job, engineer: User, sign_in: SignIn) -> None:
    HeatBuilder(job=job, number="=cmd|' /C calc'!A0")
    assert [row["heat"] for row in read_csv(sign_in(engineer), "heats.csv")] == ["'=cmd|' /C calc'!A0"]


@pytest.mark.parametrize("name", LISTS)
@pytest.mark.parametrize("form", ["csv", "xlsx"])
def test_costs_the_same_queries_at_10_and_at_1_000_joints(
    name: str, form: str, engineer: User, sign_in: SignIn
) -> None:
    counts = []
    for size in (10, 1_000):
        job = JobBuilder(code=f"SIZE-{size}")
        MembershipBuilder(job=job, user=engineer, role="engineer")
        many_joints(job, size)
        for _ in range(size // 20):
            HeatBuilder(job=job)
            QualificationBuilder(stamp=StampBuilder(welder=WelderBuilder(job=job)))
        browser = sign_in(engineer)
        with CaptureQueriesContext(connection) as queries:
            answer = browser.get(f"/jobs/SIZE-{size}/{name}.{form}")
            assert len(b"".join(answer.streaming_content)) > 100  # type: ignore[attr-defined]
        counts.append(len(queries))
    assert counts[0] == counts[1] <= 14


def test_a_list_longer_than_a_batch_is_read_to_its_end(
    job: Job, engineer: User, sign_in: SignIn, monkeypatch: pytest.MonkeyPatch
) -> None:
    many_joints(job, 25)
    monkeypatch.setattr(paging.in_batches, "__kwdefaults__", {"most": 10})
    browser = sign_in(engineer)
    assert len(read_csv(browser, "weld-log.csv")) == Joint.objects.filter(job=job).count()
    assert len(read_csv(browser, "findings.csv")) == Finding.objects.filter(job=job).count()
    assert len(read_csv(browser, "heats.csv")) == Heat.objects.filter(job=job).count()


def test_the_pages_offer_their_list_with_the_filters_that_are_set(job: Job, engineer: User, sign_in: SignIn) -> None:
    many_joints(job, 14)
    browser = sign_in(engineer)
    line = Line.objects.filter(job=job).order_by("number")[0].number
    for page, query in (
        ("weld-log", "state=planned"), ("findings", "severity=stop"), ("heats", "search=K4"), ("welders", "search=A"),
        ("papers", f"search={line}"),
    ):  # fmt: skip
        shown = browser.get(f"/jobs/HW-7/{page}/?{query}").content.decode()
        name = "papers/lines" if page == "papers" else page
        assert f'href="/jobs/HW-7/{name}.xlsx?{query}"' in shown, page
        assert f'href="/jobs/HW-7/{name}.csv?{query}"' in shown, page
