"""Signing in with a second factor: set up, asked, used once, taken off, and demanded by a job or the whole site."""

from datetime import UTC, datetime

import pytest
import time_machine
from allauth.mfa.models import Authenticator
from django.test import Client, override_settings

from records.models import Job, User
from tests.weldtrack.codes import PASSWORD, RFC_SECRET, code, come_in, recovery_codes, set_up
from weldtrack.account.adapters import SecondFactorAdapter

pytestmark = pytest.mark.django_db


@pytest.fixture
def person(foreman: User) -> User:
    foreman.set_password(PASSWORD)
    foreman.save()
    return foreman


@pytest.fixture
def signed_in(client: Client, person: User) -> Client:
    assert come_in(client, person.username) == "/"
    return client


def is_in(client: Client) -> bool:
    return client.get("/").status_code == 302 and client.get("/").headers["Location"].startswith("/jobs/")


# RFC 6238, appendix B: seconds since 1970 and the code of 8 digits for SHA-1; a phone shows its last six.
@pytest.mark.parametrize(
    ("second", "eight_digits"),
    [(59, "94287082"), (1111111109, "07081804"), (1234567890, "89005924"), (2000000000, "69279037")],
)
def test_the_codes_of_the_standard_let_in(client: Client, person: User, second: int, eight_digits: str) -> None:
    secret = SecondFactorAdapter().encrypt(RFC_SECRET)
    Authenticator.objects.create(user=person, type="totp", data={"secret": secret})
    with time_machine.travel(datetime.fromtimestamp(second, UTC), tick=False):
        assert come_in(client, person.username) == "/sign-in/code/"
        assert client.post("/sign-in/code/", {"code": eight_digits[2:]}).headers["Location"] == "/"
        assert is_in(client)


def test_the_password_alone_opens_nothing_then(client: Client, signed_in: Client, person: User, job: Job) -> None:
    set_up(signed_in)
    thief = Client()
    assert come_in(thief, person.username) == "/sign-in/code/"
    for page in ("/", f"/jobs/{job.code}/", "/account/", "/account/second-factor/off/"):
        assert thief.get(page).headers["Location"].startswith("/sign-in/"), page
    assert "_auth_user_id" not in thief.session


def test_a_wrong_first_code_speaks_of_no_recovery_code(signed_in: Client) -> None:
    page = "/account/second-factor/"
    asked = signed_in.get(page)
    if asked.status_code == 302:
        signed_in.post(asked.headers["Location"], {"password": PASSWORD})
    told = signed_in.post(page, {"code": "12"}).text
    assert "Type the 6 digits" in told and "recovery" not in told


def test_a_wrong_code_is_said_and_lets_nobody_in(signed_in: Client, person: User) -> None:
    secret = set_up(signed_in)
    wrong = f"{(int(code(secret)) + 1) % 1_000_000:06d}"
    other = Client()
    come_in(other, person.username)
    answer = other.post("/sign-in/code/", {"code": wrong})
    assert answer.status_code == 200 and "This is not the code." in answer.text
    assert not is_in(other)


def test_a_code_is_taken_once(signed_in: Client, person: User) -> None:
    secret = set_up(signed_in)
    with time_machine.travel(datetime(2026, 11, 24, 15, 0, 1, tzinfo=UTC), tick=False) as clock:
        shown = code(secret)
        first, over_the_shoulder = Client(), Client()
        for client in (first, over_the_shoulder):
            come_in(client, person.username)
        assert first.post("/sign-in/code/", {"code": shown}).status_code == 302
        for wait in (0, 31):
            clock.shift(wait)
            for typed in (shown, f"{shown[:3]} {shown[3:]}"):
                answer = over_the_shoulder.post("/sign-in/code/", {"code": typed})
                assert answer.status_code == 200, (wait, typed)
        assert not is_in(over_the_shoulder)


def test_six_wrong_codes_in_a_row_close_the_way_even_for_the_right_one(signed_in: Client, person: User) -> None:
    secret = set_up(signed_in)
    guesser = Client()
    come_in(guesser, person.username)
    for guess in range(5):
        guesser.post("/sign-in/code/", {"code": f"{(int(code(secret)) + 7 + guess) % 1_000_000:06d}"})
    answer = guesser.post("/sign-in/code/", {"code": code(secret)})
    assert answer.status_code == 200 and "Too many wrong codes" in answer.text
    assert not is_in(guesser)


def test_a_recovery_code_lets_in_once(signed_in: Client, person: User) -> None:
    set_up(signed_in)
    codes = recovery_codes(signed_in)
    assert len(codes) == len(set(codes)) == 10
    for expected in (302, 200):
        other = Client()
        come_in(other, person.username)
        assert other.post("/sign-in/code/", {"code": codes[0]}).status_code == expected
    assert "9 of 10 are left" in signed_in.get("/account/second-factor/recovery/").text


def test_new_recovery_codes_end_the_old(signed_in: Client, person: User) -> None:
    set_up(signed_in)
    old = recovery_codes(signed_in)
    assert signed_in.post("/account/second-factor/recovery/new/").status_code == 302
    new = recovery_codes(signed_in)
    assert len(new) == 10 and not set(old) & set(new)


def test_setting_up_asks_for_the_password_and_for_the_first_code(signed_in: Client, person: User) -> None:
    asked = signed_in.get("/account/second-factor/")
    assert asked.headers["Location"].startswith("/account/confirm/")
    refused = signed_in.post(asked.headers["Location"], {"password": "not this one"})
    assert refused.status_code == 200 and "This is not your password." in refused.text
    signed_in.post(asked.headers["Location"], {"password": PASSWORD})
    page = signed_in.get("/account/second-factor/")
    assert "<svg" in page.text and "style=" not in page.text and "data:" not in page.text
    assert signed_in.post("/account/second-factor/", {"code": "000"}).status_code == 200
    assert not Authenticator.objects.exists()


def test_what_is_stored_does_not_give_the_secret_away(signed_in: Client, person: User) -> None:
    secret = set_up(signed_in)
    codes = recovery_codes(signed_in)
    stored = str(list(Authenticator.objects.values_list("data", flat=True)))
    assert secret not in stored
    assert not [one for one in codes if one in stored]


def test_setting_up_signs_out_whoever_came_in_by_password_alone(signed_in: Client, person: User) -> None:
    other = Client()
    come_in(other, person.username)
    assert is_in(other)
    set_up(signed_in)
    assert not is_in(other) and is_in(signed_in)


def test_taken_off_the_password_alone_lets_in_again(signed_in: Client, person: User) -> None:
    set_up(signed_in)
    assert "Take the second factor off?" in signed_in.get("/account/second-factor/off/").text
    assert signed_in.post("/account/second-factor/off/").headers["Location"] == "/account/"
    assert not Authenticator.objects.exists()
    assert come_in(Client(), person.username) == "/"


def test_a_changed_key_of_the_site_is_said_and_lets_nobody_in(signed_in: Client, person: User) -> None:
    secret = set_up(signed_in)
    with override_settings(SECRET_KEY="another key " * 6):
        other = Client()
        come_in(other, person.username)
        answer = other.post("/sign-in/code/", {"code": code(secret)})
        assert answer.status_code == 422 and "SECRET_KEY was changed" in answer.text
        assert not is_in(other)


def test_somebody_switched_off_between_password_and_code_stays_out(signed_in: Client, person: User) -> None:
    secret = set_up(signed_in)
    other = Client()
    come_in(other, person.username)
    person.is_active = False
    person.save()
    other.post("/sign-in/code/", {"code": code(secret)})
    assert other.get("/account/").headers["Location"].startswith("/sign-in/")


@pytest.fixture
def demanding(job: Job) -> Job:
    job.second_factor_demanded = True
    job.save()
    return job


def test_a_job_that_demands_it_sends_to_the_set_up_and_then_back(signed_in: Client, demanding: Job) -> None:
    page = f"/jobs/{demanding.code}/weld-log/"
    sent = signed_in.get(page)
    assert sent.headers["Location"] == f"/account/second-factor/?next=%2Fjobs%2F{demanding.code}%2Fweld-log%2F"
    set_up(signed_in, next_page=page)
    assert f'href="{page}">Go on</a>' in signed_in.get(f"/account/second-factor/recovery/?next={page}").text
    assert signed_in.get(page).status_code == 200


def test_a_job_that_demands_it_takes_no_record_without(signed_in: Client, demanding: Job, joint) -> None:
    answer = signed_in.post(f"/jobs/{demanding.code}/joints/{joint.id}/fit-up/", {"gap": "1/16"})
    assert answer.status_code == 403 and "asks for a second factor" in answer.text


def test_whoever_only_reads_is_not_asked(client: Client, demanding: Job, client_person: User) -> None:
    client.force_login(client_person, backend="django.contrib.auth.backends.ModelBackend")
    assert client.get(f"/jobs/{demanding.code}/weld-log/").status_code == 200


def test_the_site_can_demand_it_on_every_job(signed_in: Client, job: Job) -> None:
    with override_settings(SECOND_FACTOR="writers"):
        assert signed_in.get(f"/jobs/{job.code}/").headers["Location"].startswith("/account/second-factor/")
        set_up(signed_in)
        assert signed_in.get(f"/jobs/{job.code}/").status_code == 200


def test_whoever_takes_it_off_is_asked_again_at_once(signed_in: Client, demanding: Job) -> None:
    set_up(signed_in)
    signed_in.post("/account/second-factor/off/")
    assert signed_in.get(f"/jobs/{demanding.code}/").headers["Location"].startswith("/account/second-factor/")


@pytest.mark.parametrize("elsewhere", ["https://elsewhere.example/", "//elsewhere.example", "javascript:alert(1)"])
def test_the_way_on_leads_to_no_other_site(signed_in: Client, elsewhere: str) -> None:
    set_up(signed_in)
    assert "elsewhere" not in signed_in.get("/account/second-factor/recovery/", {"next": elsewhere}).text
    assert "Go on" not in signed_in.get("/account/second-factor/recovery/", {"next": elsewhere}).text
