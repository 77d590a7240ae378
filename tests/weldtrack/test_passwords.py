"""A forgotten password by mail, and a changed one."""

import re

import pytest
from django.core import mail
from django.test import Client

from records.models import User
from records.models.base import new_id
from tests.weldtrack.codes import PASSWORD, come_in
from weldtrack.account import tokens

pytestmark = pytest.mark.django_db
OTHER = "quite-another-one"


@pytest.fixture
def person(foreman: User) -> User:
    foreman.set_password(PASSWORD)
    foreman.email = "frida@holm.example"
    foreman.save()
    return foreman


def link() -> str:
    """The path of the link in the last mail."""
    found = re.search(r"http://testserver(/password/new/\S+)", mail.outbox[-1].body)
    assert found
    return found[1]


def ask(client: Client, address: str = "frida@holm.example") -> None:
    assert client.post("/password/", {"email": address}).headers["Location"] == "/password/sent/"


def give(client: Client, path: str, password: str = OTHER) -> int:
    form = client.get(path)
    if form.status_code != 302:
        return form.status_code
    return client.post(form.headers["Location"], {"password1": password, "password2": password}).status_code


def test_mails_a_link_that_sets_a_password(client: Client, person: User) -> None:
    ask(client)
    [sent] = mail.outbox
    assert sent.to == [person.email] and sent.subject == "A new password for Spoolbook" and "foreman" in sent.body
    assert give(client, link()) == 302
    assert come_in(Client(), person.username) == ""
    assert come_in(Client(), person.username, OTHER) == "/"


def test_a_link_works_once(client: Client, person: User) -> None:
    ask(client)
    assert give(client, link()) == 302
    again = Client().get(link())
    assert again.status_code == 200 and "does not work any more" in again.text


@pytest.mark.parametrize(
    "path", ["/password/new/1/abc/", "/password/new/zzzzzzzzzz/c9-x/", "/password/new/1/set-password/"]
)
def test_a_made_up_link_says_so(client: Client, person: User, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 200 and "does not work any more" in answer.text


def test_an_unknown_address_is_answered_alike_and_gets_no_mail(client: Client, person: User) -> None:
    ask(client, "nobody@holm.example")
    assert mail.outbox == []


def test_somebody_switched_off_gets_no_mail(client: Client, person: User) -> None:
    person.is_active = False
    person.save()
    ask(client)
    assert mail.outbox == []


def test_no_more_than_a_few_mails_a_minute(client: Client, person: User) -> None:
    answers = [client.post("/password/", {"email": person.email}).status_code for _ in range(7)]
    assert answers[-1] == 429 and len(mail.outbox) == 5


def test_a_weak_password_is_refused_in_words(client: Client, person: User) -> None:
    ask(client)
    form = client.get(link()).headers["Location"]
    answer = client.post(form, {"password1": "password12", "password2": "password12"})
    assert answer.status_code == 200 and "too common" in answer.text
    answer = client.post(form, {"password1": OTHER, "password2": OTHER + "x"})
    assert answer.status_code == 200 and 'role="alert"' in answer.text


def test_a_new_password_signs_out_everywhere_and_opens_the_lock(client: Client, person: User) -> None:
    inside = Client()
    come_in(inside, person.username)
    for _ in range(5):
        come_in(client, person.username, "wrong")
    assert client.post("/sign-in/", {"username": person.username, "password": PASSWORD}).status_code == 429
    ask(client)
    give(client, link())
    assert inside.get("/account/").status_code == 302
    assert come_in(client, person.username, OTHER) == "/"


def test_a_new_password_by_a_link_revokes_every_token(client: Client, person: User) -> None:
    _, secret = tokens.make(new_id(), user=person, name="shift log", may_write=True, job=None, has_second_factor=False)
    assert tokens.found(secret) is not None
    ask(client)
    give(client, link())
    assert tokens.found(secret) is None


def test_changing_it_wants_the_one_of_now_and_keeps_this_session_alone(client: Client, person: User) -> None:
    other = Client()
    for one in (client, other):
        come_in(one, person.username)
    form = {"oldpassword": "not this one", "password1": OTHER, "password2": OTHER}
    refused = client.post("/account/password/", form)
    assert refused.status_code == 200 and "This is not your password of now." in refused.text
    assert client.post("/account/password/", form | {"oldpassword": PASSWORD}).headers["Location"] == "/account/"
    assert client.get("/account/").status_code == 200
    assert other.get("/account/").status_code == 302


def test_changing_it_revokes_every_token(client: Client, person: User) -> None:
    _, secret = tokens.make(new_id(), user=person, name="shift log", may_write=True, job=None, has_second_factor=False)
    come_in(client, person.username)
    form = {"oldpassword": "not this one", "password1": OTHER, "password2": OTHER}
    client.post("/account/password/", form)
    assert tokens.found(secret) is not None
    client.post("/account/password/", form | {"oldpassword": PASSWORD})
    assert tokens.found(secret) is None and "1 token revoked with it." in client.get("/account/").text


def test_a_foreign_host_gets_no_link_into_a_mail(client: Client, person: User) -> None:
    answer = client.post("/password/", {"email": person.email}, headers={"host": "elsewhere.example"})
    assert answer.status_code == 400 and mail.outbox == []


def test_one_s_own_mail_address_is_changed_after_the_password_was_asked(client: Client, person: User) -> None:
    come_in(client, person.username)
    asked = client.get("/account/names/").headers["Location"]
    assert asked.startswith("/account/confirm/")
    client.post(asked, {"password": PASSWORD})
    form = {"first_name": "Frida", "last_name": "Holm", "email": "not one"}
    assert client.post("/account/names/", form).status_code == 200
    client.post("/account/names/", form | {"email": "frida.holm@yard.example"})
    person.refresh_from_db()
    assert person.email == "frida.holm@yard.example"
