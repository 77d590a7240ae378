"""Encodings, separators, zeros in front, decimal commas, days that may be two: read right, or refused; never guessed."""

import pytest
from django.test import Client

from office.queries.imports import all_faults
from records.models import ContinuityEntry, FitUp, Heat, Job, JournalEntry, Work
from tests.office.importing.odd_files import ODD, Odd
from tests.office.importing.pages import applied, do, page_of, send
from tests.office.workbooks import as_xlsx

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("storage")]
LEAST_FILES = 30


def checked(desk: Client, job: Job, content: bytes, name: str) -> tuple[Work, str]:
    """The check of a file, and what its page says."""
    answer = send(desk, job, content, name)
    assert answer.status_code == 302, answer.content.decode()
    work = Work.objects.get(id=answer["Location"].rstrip("/").rpartition("/")[2])
    work = do(work) if work.state == "queued" else work
    return work, desk.get(page_of(work)).content.decode()


def test_there_are_enough_of_them() -> None:
    assert len({one.name for one in ODD}) == len(ODD) >= LEAST_FILES
    assert all(bool(one.said) != bool(one.heats or one.stored) for one in ODD)


@pytest.mark.parametrize("odd", ODD, ids=lambda one: one.name)
def test_an_odd_file_is_read_right_or_refused(odd: Odd, desk: Client, small_job: Job) -> None:
    known = set(Heat.objects.values_list("number", flat=True))
    days = set(ContinuityEntry.objects.values_list("used_on", flat=True))
    entries = JournalEntry.objects.count()
    work, shown = checked(desk, small_job, odd.content, f"{odd.sheet}.{odd.ending}")
    if odd.said:
        told = [one["message"] for one in all_faults(work.result)]
        assert any(odd.said in message for message in told), told
        assert 'class="lead out"' in shown
        assert JournalEntry.objects.count() == entries
        return
    assert not work.result["faults"], list(all_faults(work.result))
    applied(desk, work)
    assert set(Heat.objects.values_list("number", flat=True)) - known == set(odd.heats)
    new_days = {str(day) for day in set(ContinuityEntry.objects.values_list("used_on", flat=True)) - days}
    assert new_days == ({odd.stored} if odd.stored else set())


GAP = ["drawing", "sheet", "joint", "date", "by"]


@pytest.mark.parametrize(
    ("heading", "typed", "stored"),
    [
        ("gap (mm)", 3.2, "3.2"),
        ("gap (mm)", "3.2", "3.2"),
        ("gap [mm]", "3.2", "3.2"),
        ("Gap, mm", 3.2, "3.2"),
        ("gap (mm)", "1/8 in", "3.175"),
        ("gap (in)", 0.125, "3.175"),
        ("gap (inch)", "1/8", "3.175"),
        ("gap", "1/8", "3.175"),
        ("gap (as measured)", "1/8", "3.175"),
    ],
)
def test_a_unit_in_a_heading_is_that_of_the_bare_numbers_below(
    heading: str, typed: object, stored: str, desk: Client, small_job: Job
) -> None:
    rows = [[*GAP, heading], ["ISO-1", "1", "1", "2026-09-01", "Fitter One", typed]]
    work, shown = checked(desk, small_job, as_xlsx({"Fit-ups": rows}), "small.xlsx")
    assert not work.result["faults"], list(all_faults(work.result))
    applied(desk, work)
    assert str(FitUp.objects.get().gap_mm.normalize()) == stored
    assert work.job.units == "US"


@pytest.mark.parametrize(
    ("heading", "said"),
    [
        ("gap (psi)", "which is no unit of gap"),
        ("gap (C)", "which is no unit of gap"),
        ("gap (thou)", "which is no unit of gap"),
        ("gap [microns]", "which is no unit of gap"),
    ],
)
def test_a_unit_that_can_not_be_is_refused(heading: str, said: str, desk: Client, small_job: Job) -> None:
    rows = [[*GAP, heading], ["ISO-1", "1", "1", "2026-09-01", "Fitter One", 0.125]]
    work, shown = checked(desk, small_job, as_xlsx({"Fit-ups": rows}), "small.xlsx")
    assert (
        work.result["faults"] == 1 and "Fit-ups!F1" in shown and said in shown and "a bare number is in inch" in shown
    )
