"""The door of a job's pages."""

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.test import Client

from records.access import on_job
from records.models import Job, User
from tests.conftest import SignIn


def test_a_code_that_no_database_can_look_for_is_absent(job: Job, foreman: User, sign_in: SignIn) -> None:
    browser: Client = sign_in(foreman)
    assert browser.get(f"/jobs/{job.code}/").status_code == 200
    assert browser.get(f"/jobs/{job.code}%00/").status_code == 404
    assert browser.post("/jobs/%00/packages/", {}).status_code == 404


def test_a_view_that_asks_for_an_unknown_verb_is_not_loaded() -> None:
    with pytest.raises(ImproperlyConfigured, match="'weld by night'"):
        on_job(get="weld by night")
