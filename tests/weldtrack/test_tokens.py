"""A person's tokens: shown once, kept as a sum, opening no more than they were made for."""

import re
from datetime import timedelta
from io import StringIO
from typing import Any
from uuid import uuid4

import pytest
from allauth.usersessions.models import UserSession
from django.core.management import call_command
from django.test import Client
from django.utils import timezone

from records.models import ApiToken, FitUp, Job, Joint, User
from tests.access.table import API
from tests.access.test_matrix import ALL_ROUTES
from tests.builders import MembershipBuilder, days_ago
from tests.conftest import SignIn
from weldtrack.account import tokens

PASSWORD = "a long word of the yard"
WRITING = [route for route in ALL_ROUTES if "POST" in API.get(route.name, {})]


def confirmed(user: User, sign_in: SignIn) -> Client:
    """A browser in which the person gave the password once more just now."""
    user.set_password(PASSWORD)
    user.save()
    browser = sign_in(user)
    browser.post("/account/confirm/?next=/account/tokens/", {"password": PASSWORD})
    return browser


def made(user: User, *, may_write: bool = True, job: Job | None = None, has_second_factor: bool = False) -> str:
    _, secret = tokens.make(
        uuid4(), user=user, name="Tablet", may_write=may_write, job=job, has_second_factor=has_second_factor
    )
    return secret


def with_token(secret: str) -> Client:
    return Client(enforce_csrf_checks=True, headers={"authorization": f"Bearer {secret}"})


def fit_up(joint: Joint) -> dict[str, Any]:
    return {"id": str(uuid4()), "joint_id": str(joint.id), "date": days_ago(0).isoformat(), "gap_mm": 1.5}


def send(client: Client, joint: Joint) -> int:
    return client.post("/api/fit-ups/", fit_up(joint), content_type="application/json").status_code


def test_is_made_on_a_page_shown_once_and_kept_as_a_sum(foreman: User, joint: Joint, sign_in: SignIn) -> None:
    browser = confirmed(foreman, sign_in)
    sent = {"id": str(uuid4()), "name": "Tablet of the night shift", "scope": "write", "job": str(joint.job_id)}
    page = browser.post("/account/tokens/", sent).content.decode()
    [secret] = re.findall(r"<code>(spb_[\w-]+)</code>", page)
    again = browser.post("/account/tokens/", sent).content.decode()
    later = browser.get("/account/tokens/").content.decode()
    assert secret not in again and secret not in later and "Tablet of the night shift" in later
    [token] = ApiToken.objects.values()
    assert secret not in str(token)
    assert send(with_token(secret), joint) == 201
    assert FitUp.objects.get().recorded_by == foreman


def test_the_password_is_asked_before_a_token_is_made(foreman: User, sign_in: SignIn) -> None:
    answer = sign_in(foreman).get("/account/tokens/")
    assert answer.status_code == 302 and answer["Location"].startswith("/account/confirm/")


def test_says_what_is_missing(foreman: User, sign_in: SignIn) -> None:
    answer = confirmed(foreman, sign_in).post("/account/tokens/", {"id": str(uuid4())})
    assert answer.status_code == 422
    assert "What it is for: this is missing." in answer.content.decode()
    assert not ApiToken.objects.exists()


@pytest.mark.parametrize("route", WRITING, ids=lambda route: route.name)
def test_one_that_reads_writes_nothing(route: Any, engineer: User, joint: Joint) -> None:
    client, url = with_token(made(engineer, may_write=False)), route.url(dict.fromkeys(route.arguments, uuid4()))
    assert client.get(url).status_code in ((404, 405) if route.arguments else (200,))
    answer = client.post(url, fit_up(joint), content_type="application/json")
    assert answer.status_code == 403
    assert "only reads" in answer.json()["detail"]
    assert not FitUp.objects.exists()


def test_one_for_a_job_knows_no_other(engineer: User, joint: Joint, other_job: Job) -> None:
    MembershipBuilder(job=other_job, user=engineer, role="engineer")
    client = with_token(made(engineer, job=other_job))
    assert [row["code"] for row in client.get("/api/jobs/").json()["results"]] == ["EX-1"]
    for address in ("/api/joints/?job=HW-7", f"/api/joints/{joint.id}/", "/api/compute/pipe/?job=HW-7"):
        assert client.get(address).status_code == 404, address
    assert send(client, joint) == 403 or not FitUp.objects.exists()
    assert not FitUp.objects.exists()


def test_does_no_more_than_its_person(client_person: User, joint: Joint) -> None:
    assert send(with_token(made(client_person)), joint) == 403


def test_a_revoked_one_opens_nothing(foreman: User, inspector: User, joint: Joint, sign_in: SignIn) -> None:
    secret = made(foreman)
    token = ApiToken.objects.get()
    sign_in(inspector).post(f"/account/tokens/{token.id}/revoke/")
    assert with_token(secret).get("/api/jobs/").status_code == 200
    sign_in(foreman).post(f"/account/tokens/{token.id}/revoke/")
    answer = with_token(secret).get("/api/jobs/")
    assert answer.status_code == 401
    assert answer["WWW-Authenticate"].startswith("Bearer")


def test_somebody_switched_off_has_none(foreman: User) -> None:
    secret = made(foreman)
    User.objects.filter(pk=foreman.pk).update(is_active=False)
    assert with_token(secret).get("/api/jobs/").status_code == 401


@pytest.mark.parametrize("secret", ["", "spb_guess", "é", "a b"])
def test_a_word_that_is_no_token_opens_nothing(foreman: User, secret: str) -> None:
    made(foreman)
    assert with_token(secret).get("/api/jobs/").status_code == 401


def test_its_last_use_is_noted_once_a_minute_and_starts_no_session(foreman: User) -> None:
    client = with_token(made(foreman))
    client.get("/api/jobs/")
    first = ApiToken.objects.get().used_at
    client.get("/api/jobs/")
    assert first is not None and ApiToken.objects.get().used_at == first
    ApiToken.objects.update(used_at=timezone.now() - timedelta(minutes=2))
    client.get("/api/jobs/")
    noted = ApiToken.objects.get().used_at
    assert noted is not None and noted > first
    assert not UserSession.objects.exists() and not client.cookies


def test_a_token_opens_no_page(foreman: User, job: Job) -> None:
    assert with_token(made(foreman)).get("/jobs/HW-7/").status_code == 302


def test_a_job_that_asks_a_second_factor_asks_it_of_the_session_that_made_the_token(foreman: User, job: Job) -> None:
    Job.objects.update(second_factor_demanded=True)
    assert with_token(made(foreman)).get("/api/jobs/?job=HW-7").status_code == 403
    assert with_token(made(foreman, has_second_factor=True)).get("/api/jobs/?job=HW-7").status_code == 200


def test_a_token_has_no_second_factor_any_more_once_its_person_has_none(foreman: User, job: Job) -> None:
    Job.objects.update(second_factor_demanded=True)
    secret = made(foreman, has_second_factor=True)
    call_command("take_off_second_factor", foreman.username, stdout=StringIO())
    assert with_token(secret).get("/api/jobs/?job=HW-7").status_code == 403
