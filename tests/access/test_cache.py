"""Nothing behind the sign-in is kept by a browser that many hands share."""

from django.test import Client

from records.models import Joint, User
from tests.conftest import SignIn


def test_pages_of_a_job_are_not_kept(joint: Joint, foreman: User, sign_in: SignIn) -> None:
    page = sign_in(foreman).get(f"/jobs/{joint.job.code}/joints/{joint.id}/")
    assert page.status_code == 200
    assert "no-store" in page["Cache-Control"]


def test_neither_is_the_way_to_sign_in(joint: Joint) -> None:
    page = Client().get(f"/jobs/{joint.job.code}/")
    assert page.status_code == 302
    assert "no-store" in page["Cache-Control"]


def test_neither_is_a_refusal(joint: Joint, foreman: User, sign_in: SignIn) -> None:
    page = sign_in(foreman).get(f"/jobs/{joint.job.code}/settings/")
    assert page.status_code == 403
    assert "no-store" in page["Cache-Control"]
