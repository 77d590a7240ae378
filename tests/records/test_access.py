"""The door of a job's pages."""

from django.test import Client

from records.models import Job, User
from tests.conftest import SignIn


def test_a_code_that_no_database_can_look_for_is_absent(job: Job, foreman: User, sign_in: SignIn) -> None:
    browser: Client = sign_in(foreman)
    assert browser.get(f"/jobs/{job.code}/").status_code == 200
    assert browser.get(f"/jobs/{job.code}%00/").status_code == 404
    assert browser.post("/jobs/%00/packages/", {}).status_code == 404
