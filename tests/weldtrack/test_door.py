"""The door of the site: health, sign-in, lock-out, and what the browser may do."""

import logging

import pytest
from django.contrib.auth import get_user_model
from django.test import Client, RequestFactory, override_settings

from weldtrack.client_address import client_address, counted_address
from weldtrack.one_line import OneLine

pytestmark = pytest.mark.django_db
PASSWORD = "a-long-enough-one"


@pytest.fixture
def welder() -> str:
    get_user_model().objects.create_user(username="quill", password=PASSWORD)
    return "quill"


def sign_in(client: Client, name: str, password: str, **extra: str) -> int:
    return client.post("/sign-in/", {"username": name, "password": password}, **extra).status_code


def test_says_that_it_is_well(client: Client) -> None:
    answer = client.get("/healthz")
    assert (answer.status_code, answer.content) == (200, b"ok\n")


def test_signs_in_and_out(client: Client, welder: str) -> None:
    assert sign_in(client, welder, PASSWORD) == 302
    assert client.session["_auth_user_id"]
    assert client.get("/sign-out/").status_code == 405
    assert client.post("/sign-out/").status_code == 302
    assert "_auth_user_id" not in client.session


def test_a_wrong_password_keeps_the_name_and_says_so(client: Client, welder: str) -> None:
    answer = client.post("/sign-in/", {"username": welder, "password": "wrong"})
    assert answer.status_code == 200
    assert 'value="quill"' in answer.text
    assert 'role="alert"' in answer.text


def test_the_fifth_wrong_password_locks_the_name_even_for_the_right_one(client: Client, welder: str) -> None:
    assert [sign_in(client, welder, "wrong") for _ in range(5)] == [200, 200, 200, 200, 429]
    answer = client.post("/sign-in/", {"username": welder, "password": PASSWORD})
    assert answer.status_code == 429
    assert "Wait 30 minutes" in answer.text
    assert "_auth_user_id" not in client.session


def test_a_lock_at_one_address_leaves_the_others_open(client: Client, welder: str) -> None:
    for _ in range(5):
        sign_in(client, welder, "wrong", REMOTE_ADDR="10.0.0.9")
    assert sign_in(client, welder, PASSWORD, REMOTE_ADDR="10.0.0.10") == 302


def test_wrong_passwords_from_everywhere_lock_a_name_at_a_hundred(client: Client, welder: str) -> None:
    places = [(f"10.0.{place}.1", name) for place in range(25) for name in (welder, welder.upper(), welder, "Quill")]
    answers = [sign_in(client, name, "wrong", REMOTE_ADDR=place) for place, name in places]
    assert (answers[:98].count(200), answers[-1]) == (98, 429)
    assert sign_in(client, welder, PASSWORD, REMOTE_ADDR="10.1.0.1") == 429
    get_user_model().objects.create_user(username="rowan", password=PASSWORD)
    assert sign_in(client, "rowan", PASSWORD, REMOTE_ADDR="10.1.0.1") == 302


def test_the_addresses_of_one_line_count_as_one(client: Client, welder: str) -> None:
    for place in range(5):
        sign_in(client, welder, "wrong", REMOTE_ADDR=f"2001:db8:7:1::{place + 1}")
    assert sign_in(client, welder, PASSWORD, REMOTE_ADDR="2001:db8:7:1:a:b:c:d") == 429
    assert sign_in(client, welder, PASSWORD, REMOTE_ADDR="2001:db8:7:2::1") == 302


@pytest.mark.parametrize(
    ("address", "counted"),
    [("10.0.0.9", "10.0.0.9"), ("::ffff:10.0.0.9", "10.0.0.9"), ("fe80::1%eth0", "fe80::"), ("", ""), ("unix", "unix")],
)
def test_an_address_is_counted_by_what_one_customer_has(address: str, counted: str) -> None:
    assert counted_address(RequestFactory().get("/", REMOTE_ADDR=address)) == counted


def test_no_name_begins_a_line_of_the_log() -> None:
    said = logging.LogRecord("office", logging.WARNING, "", 0, "%s revoked %s", ("ada", "a\n2026 ERROR b\u202e"), None)
    assert OneLine("%(levelname)s %(message)s").format(said) == "WARNING ada revoked a\\x0a2026 ERROR b\\x202e"


def test_every_answer_lets_the_browser_load_from_here_alone(client: Client) -> None:
    policy = client.get("/sign-in/").headers["Content-Security-Policy"]
    assert "default-src 'self'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy


@pytest.mark.parametrize(
    ("proxies", "forwarded", "address"),
    [
        (0, "203.0.113.7", "10.0.0.1"),
        (1, "203.0.113.7", "203.0.113.7"),
        (1, "198.51.100.1, 203.0.113.7", "203.0.113.7"),
        (2, "198.51.100.1, 203.0.113.7", "198.51.100.1"),
        (1, "", "10.0.0.1"),
    ],
)
def test_believes_only_what_our_own_proxies_wrote(proxies: int, forwarded: str, address: str) -> None:
    request = RequestFactory().get("/", REMOTE_ADDR="10.0.0.1", HTTP_X_FORWARDED_FOR=forwarded)
    with override_settings(PROXIES=proxies):
        assert client_address(request) == address
