"""A list that is empty says which sheet of the workbook fills it, and leads there whoever may bring one in."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from records.models import Job, User
from tests.builders import JobBuilder, LineBuilder, MembershipBuilder

SignIn = Callable[[User], Client]
FILLED_BY = {
    "welders": "sheets Welders and Qualifications",
    "heats": "sheet Heats",
    "pieces": "sheet Components",
    "spools": "sheets Sheets and Joints",
    "filler-lots": "sheet Filler lots",
    "procedures": "sheet Procedures",
    "progress": "sheet Lines",
    "papers": "sheet Lines",
}


@pytest.fixture
def bare_job(engineer: User, welder: User) -> Job:
    job = JobBuilder(code="BARE-1")
    MembershipBuilder(job=job, user=engineer, role="engineer")
    MembershipBuilder(job=job, user=welder, role="welder")
    return job


def told(browser: Client, job: Job, name: str, **more: object) -> str:
    return " ".join(browser.get(reverse(name, kwargs={"code": job.code, **more})).text.split())


@pytest.mark.parametrize("name", FILLED_BY)
def test_an_empty_list_leads_to_the_import_whoever_may(
    bare_job: Job, engineer: User, welder: User, sign_in: SignIn, name: str
) -> None:
    said = f"they come with the workbook’s {FILLED_BY[name]}"
    link = f'{said}: <a href="{reverse("imports", kwargs={"code": bare_job.code})}">import the workbook</a>.'
    assert link in told(sign_in(engineer), bare_job, name)
    assert f"{said}." in told(sign_in(welder), bare_job, name)


def test_so_does_a_line_without_joints(bare_job: Job, engineer: User, sign_in: SignIn) -> None:
    line = LineBuilder(job=bare_job)
    assert "sheet Joints: <a href=" in told(sign_in(engineer), bare_job, "line", line=line.id)
