"""Where a person is signed in: listed, ended one by one or all but this, and noted every few minutes."""

from datetime import timedelta

import pytest
import time_machine
from allauth.usersessions.models import UserSession
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from records.models import Job, User
from tests.weldtrack.codes import PASSWORD, come_in
from weldtrack.account.sessions import device

pytestmark = pytest.mark.django_db
PHONE = "Mozilla/5.0 (Android 14; Mobile; rv:140.0) Gecko/140.0 Firefox/140.0"
DESK = "Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0 Safari/537.36"


@pytest.fixture
def person(foreman: User) -> User:
    foreman.set_password(PASSWORD)
    foreman.save()
    return foreman


def at(agent: str, name: str) -> Client:
    client = Client(headers={"user-agent": agent})
    assert come_in(client, name) == "/"
    return client


def test_lists_each_device_and_says_which_is_this(person: User) -> None:
    at(PHONE, person.username)
    shown = at(DESK, person.username).get("/account/").text
    assert "Firefox on Android" in shown and "Chrome or Chromium on Windows" in shown
    assert shown.count("this one") == 1 and shown.count("127.0.0.1") >= 2


def test_ends_another(person: User) -> None:
    phone, desk = at(PHONE, person.username), at(DESK, person.username)
    other = UserSession.objects.get(user_agent=PHONE)
    assert desk.post(f"/account/sessions/{other.id}/end/").status_code == 302
    assert phone.get("/account/").status_code == 302
    assert desk.get("/account/").status_code == 200


def test_ends_all_but_this(person: User) -> None:
    phones, desk = [at(PHONE, person.username) for _ in range(2)], at(DESK, person.username)
    desk.post("/account/sessions/end-others/")
    assert [phone.get("/account/").status_code for phone in phones] == [302, 302]
    assert "Signed out in 2 other places." in desk.get("/account/").text


def test_nobody_ends_the_session_of_another(person: User, inspector: User) -> None:
    phone = at(PHONE, person.username)
    inspector.set_password(PASSWORD)
    inspector.save()
    stranger = at(DESK, inspector.username)
    stranger.post(f"/account/sessions/{UserSession.objects.get(user=person).id}/end/")
    assert phone.get("/account/").status_code == 200
    assert "Firefox on Android" not in stranger.get("/account/").text


def test_is_noted_every_five_minutes_and_not_between(person: User, job: Job) -> None:
    phone = at(PHONE, person.username)
    page = f"/jobs/{job.code}/people/"
    phone.get(page)
    with CaptureQueriesContext(connection) as queries:
        phone.get(page)
    assert not [one for one in queries if "usersessions" in one["sql"] or one["sql"].startswith(("UPDATE", "INSERT"))]
    before = UserSession.objects.get(user=person).last_seen_at
    with time_machine.travel(timezone.now() + timedelta(minutes=6)):
        phone.get(page)
    assert UserSession.objects.get(user=person).last_seen_at - before > timedelta(minutes=5)


def test_signing_out_takes_it_off_the_list(person: User) -> None:
    phone, desk = at(PHONE, person.username), at(DESK, person.username)
    phone.post("/sign-out/")
    assert "Firefox on Android" not in desk.get("/account/").text


@pytest.mark.parametrize(
    ("agent", "said"),
    [
        (PHONE, "Firefox on Android"),
        (DESK, "Chrome or Chromium on Windows"),
        (DESK + " Edg/140.0", "Edge on Windows"),
        ("Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) Version/18.0 Mobile Safari/604.1", "Safari on iPhone"),
        ("shift-log/1.2", "shift-log/1.2"),
        ("<script>alert(1)</script>", "scriptalert1/script"),
        ("", "not known"),
    ],
)
def test_says_a_device_in_few_words(agent: str, said: str) -> None:
    assert device(agent) == said
