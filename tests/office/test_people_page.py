"""The people of a job: who comes onto it, their roles, stamps and sign-ins, and who may change what."""

import io
import re
from typing import Any
from uuid import uuid4

import pytest
from allauth.mfa.models import Authenticator
from allauth.usersessions.models import UserSession
from django.core import mail
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from office.actions import set_roles as roles_module
from office.actions import switch_sign_in as switch_module
from office.actions.add_person import NewPerson, add_person
from office.actions.describe_person import describe_person
from office.actions.give_password_link import give_password_link
from office.actions.link_stamp import link_stamp
from office.actions.revoke_token import revoke_token
from office.actions.set_roles import set_roles
from office.actions.switch_sign_in import switch_sign_in
from office.actions.take_off_second_factor import take_off_second_factor
from records import journal
from records.locking import lock_people
from records.models import ApiToken, Job, JournalEntry, Line, Membership, Stamp, User
from records.permissions import roles_of
from records.refusals import Implausible, NotAllowed
from records.site_account import site_account
from records.verify import first_bad
from tests.builders import MembershipBuilder, UserBuilder
from tests.conftest import SignIn
from tests.weldtrack.codes import PASSWORD, come_in

pytestmark = pytest.mark.django_db


def entries(job: Job, kind: str = "membership") -> list[JournalEntry]:
    return list(JournalEntry.objects.filter(job=job, kind=kind).order_by("number"))


def page_of(job: Job, person: User) -> str:
    return reverse("person", args=[job.code, person.username])


# --- coming onto the job


def test_a_new_person_comes_onto_the_job_and_sets_a_password_with_a_link(
    job: Job, administrator: User, sign_in: SignIn
) -> None:
    desk = sign_in(administrator)
    form = {"username": "nils", "role": "foreman", "first_name": "Nils", "last_name": "Oker", "email": ""}
    answer = desk.post(reverse("person-add", args=[job.code]), form)
    nils = User.objects.get(username="nils")
    assert answer.headers["Location"] == page_of(job, nils)
    assert roles_of(nils, job) == {"foreman"} and not nils.has_usable_password()
    assert len(entries(job)) == 1
    shown = desk.post(page_of(job, nils), {"deed": "give link"})
    assert "no-store" in shown["Cache-Control"]
    [path] = re.findall(r"http://testserver(/password/new/[^<\s]+)", shown.text)
    assert path not in desk.get(page_of(job, nils)).text, "it is shown once"
    own = Client()
    own.post(own.get(path).headers["Location"], {"password1": PASSWORD, "password2": PASSWORD})
    assert come_in(own, "nils") == "/"
    assert "does not work any more" in Client().get(path).text


def test_somebody_who_signs_in_already_keeps_names_and_password(job: Job, administrator: User, visitor: User) -> None:
    draft = NewPerson("visitor", "inspector", first_name="Other", email="other@yard.example")
    person, is_new = add_person(draft, job=job, by=administrator)
    assert (person, is_new) == (visitor, False)
    visitor.refresh_from_db()
    assert (visitor.first_name, visitor.email) == ("Viktor", "") and roles_of(visitor, job) == {"inspector"}


def test_twice_is_once(job: Job, administrator: User) -> None:
    for _ in range(2):
        add_person(NewPerson("nils", "welder"), job=job, by=administrator)
    assert Membership.objects.filter(job=job, user__username="nils").count() == len(entries(job)) == 1


@pytest.mark.parametrize(
    ("username", "said"),
    [
        ("two words", "valid username"),
        ("FOREMAN", "capital letters alone"),
        ("site", "own account"),
        ("<b>", "valid username"),
    ],
)
def test_refuses_a_name_that_cannot_be_one(
    job: Job, administrator: User, foreman: User, sign_in: SignIn, username: str, said: str
) -> None:
    people = User.objects.count()
    answer = sign_in(administrator).post(
        reverse("person-add", args=[job.code]), {"username": username, "role": "welder"}
    )
    assert answer.status_code == 422 and said in answer.text
    assert User.objects.count() == people and entries(job) == []


# --- roles


def test_roles_are_given_and_taken_and_stand_in_the_journal(job: Job, administrator: User, foreman: User) -> None:
    set_roles(foreman, {"foreman", "inspector"}, job=job, by=administrator)
    set_roles(foreman, {"inspector"}, job=job, by=administrator, reason="Moved to inspection.")
    assert roles_of(foreman, job) == {"inspector"}
    assert [('"is_held":true' in one.payload, one.reason) for one in entries(job)] == [
        (True, ""),
        (False, "Moved to inspection."),
    ]
    assert set_roles(foreman, {"inspector"}, job=job, by=administrator) == []


def test_the_journal_proves_an_ended_role(job: Job, administrator: User) -> None:
    journal.append(Membership.objects.filter(job=job), job=job, by=None, at=timezone.now())
    journal.append([job], job=job, by=None, at=timezone.now())
    add_person(NewPerson("nils", "welder"), job=job, by=administrator)
    set_roles(User.objects.get(username="nils"), (), job=job, by=administrator, reason="Left the job.")
    assert first_bad(job) is None


def test_without_a_role_a_person_is_off_the_job_and_may_come_back(
    job: Job, administrator: User, foreman: User, sign_in: SignIn
) -> None:
    desk, theirs = sign_in(administrator), sign_in(foreman)
    answer = desk.post(page_of(job, foreman), {"deed": "roles", "roles-reason": "Left the job."})
    assert answer.headers["Location"] == reverse("people", args=[job.code])
    assert theirs.get(f"/jobs/{job.code}/").status_code == 404
    assert "Frida Holm" not in desk.get(reverse("people", args=[job.code])).text
    add_person(NewPerson("foreman", "foreman"), job=job, by=administrator)
    assert theirs.get(f"/jobs/{job.code}/").status_code == 200


def test_a_role_that_ended_opens_neither_page_nor_api(
    job: Job, administrator: User, foreman: User, line: Line, sign_in: SignIn
) -> None:
    theirs = sign_in(foreman)
    ways = (f"/jobs/{job.code}/weld-log/", f"/api/lines/{line.id}/", f"/api/lines/?job={job.code}")
    assert [theirs.get(way).status_code for way in ways] == [200, 200, 200]
    set_roles(foreman, (), job=job, by=administrator, reason="Left the job.")
    assert [theirs.get(way).status_code for way in ways] == [404, 404, 404]
    assert theirs.get("/api/lines/").json()["results"] == []
    assert job.code not in theirs.get("/").text


def test_a_role_is_not_taken_without_a_reason(job: Job, administrator: User, foreman: User, sign_in: SignIn) -> None:
    answer = sign_in(administrator).post(page_of(job, foreman), {"deed": "roles", "roles-roles": ["welder"]})
    assert answer.status_code == 422 and "Say why a role is taken." in answer.text
    assert roles_of(foreman, job) == {"foreman"} and entries(job) == []


def test_the_last_administrator_stays(job: Job, administrator: User) -> None:
    with pytest.raises(Implausible, match="last administrator"):
        set_roles(administrator, {"engineer"}, job=job, by=administrator, reason="Tired.")
    assert roles_of(administrator, job) == {"administrator"}


def test_an_administrator_who_cannot_sign_in_does_not_count(job: Job, administrator: User) -> None:
    closed = UserBuilder(username="closed", is_active=False)
    MembershipBuilder(job=job, user=closed, role="administrator")
    add_person(NewPerson("nils", "administrator"), job=job, by=administrator)
    with pytest.raises(Implausible, match="last administrator"):
        set_roles(administrator, (), job=job, by=administrator, reason="Left.")
    nils = User.objects.get(username="nils")
    nils.set_password(PASSWORD)
    nils.save()
    set_roles(administrator, (), job=job, by=administrator, reason="Left.")
    assert roles_of(administrator, job) == frozenset()


def test_the_site_s_own_account_keeps_its_roles(job: Job, administrator: User) -> None:
    with pytest.raises(Implausible, match="own account"):
        set_roles(site_account(job), (), job=job, by=administrator, reason="Who is this?")


def test_nobody_gets_a_way_in_as_the_site_s_own_account(job: Job, administrator: User, sign_in: SignIn) -> None:
    account = site_account(job)
    with pytest.raises(NotAllowed, match="own account"):
        give_password_link(account, site="http://x", job=job, by=administrator)
    desk = sign_in(administrator)
    assert desk.get(page_of(job, account)).status_code == 404
    assert "nobody: the site’s own account" in desk.get(reverse("people", args=[job.code])).text


# --- stamps


def test_a_stamp_is_linked_and_taken_back(
    job: Job, administrator: User, foreman: User, unqualified_stamp: Stamp, sign_in: SignIn
) -> None:
    desk = sign_in(administrator)
    assert desk.post(page_of(job, foreman), {"deed": "stamp", "stamp": "b2"}).status_code == 303
    unqualified_stamp.welder.refresh_from_db()
    assert unqualified_stamp.welder.user == foreman
    assert desk.post(page_of(job, foreman), {"deed": "unlink", "code": "B2"}).status_code == 303
    unqualified_stamp.welder.refresh_from_db()
    assert unqualified_stamp.welder.user is None
    assert len(entries(job, "welder")) == 2


def test_a_stamp_of_somebody_else_is_not_taken_from_them(
    job: Job, administrator: User, foreman: User, stamp: Stamp, sign_in: SignIn
) -> None:
    answer = sign_in(administrator).post(page_of(job, foreman), {"deed": "stamp", "stamp": stamp.code})
    assert answer.status_code == 422 and "A1 is Arne Lindqvist, who signs in as welder." in answer.text
    assert entries(job, "welder") == []


def test_nobody_off_the_job_gets_a_stamp(
    job: Job, administrator: User, visitor: User, unqualified_stamp: Stamp
) -> None:
    with pytest.raises(Implausible, match="is not on HW-7"):
        link_stamp(unqualified_stamp, visitor, job=job, by=administrator)


# --- sign-ins


def test_a_closed_sign_in_lets_nobody_in_and_is_opened_again(
    job: Job, administrator: User, foreman: User, sign_in: SignIn
) -> None:
    foreman.set_password(PASSWORD)
    foreman.save()
    inside = Client()
    come_in(inside, "foreman")
    desk = sign_in(administrator)
    desk.post(page_of(job, foreman), {"deed": "close"})
    assert inside.get("/account/").status_code == 302 and come_in(Client(), "foreman") == ""
    assert "closed" in desk.get(reverse("people", args=[job.code])).text
    desk.post(page_of(job, foreman), {"deed": "open"})
    assert come_in(Client(), "foreman") == "/"


def test_two_administrators_do_not_close_each_other_out(job: Job, administrator: User) -> None:
    other = MembershipBuilder(job=job, user=UserBuilder(username="other"), role="administrator").user
    still_signed_in = User.objects.get(pk=other.pk)
    switch_sign_in(other, is_open=False, job=job, by=administrator)
    with pytest.raises(NotAllowed):
        switch_sign_in(administrator, is_open=False, job=job, by=still_signed_in)
    administrator.refresh_from_db()
    assert administrator.is_active


@pytest.mark.parametrize("is_role", [True, False], ids=["role", "sign-in"])
def test_whose_role_or_sign_in_went_meanwhile_changes_nobody_else(
    is_role: bool, job: Job, administrator: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = MembershipBuilder(job=job, user=UserBuilder(username="other"), role="administrator").user
    acts = (
        (switch_module, lambda: switch_sign_in(other, is_open=False, job=job, by=administrator)),
        (roles_module, lambda: set_roles(other, (), job=job, by=administrator, reason="Left.")),
    )
    for module, act in acts:

        def meanwhile(*about: Any, **more: Any) -> set[int]:
            """What another administrator does before the rows are had."""
            if is_role:
                Membership.objects.filter(user=administrator).update(is_held=False)
            else:
                User.objects.filter(pk=administrator.pk).update(is_active=False)
            return lock_people(*about, **more)

        monkeypatch.setattr(module, "lock_people", meanwhile)
        with pytest.raises(NotAllowed):
            act()
        Membership.objects.filter(user=administrator).update(is_held=True)
        User.objects.filter(pk=administrator.pk).update(is_active=True)
    other.refresh_from_db()
    assert other.is_active and roles_of(other, job) == {"administrator"}


# --- tokens


def token_of(person: User, job: Job | None = None) -> ApiToken:
    values = {"user": person, "name": "Tablet in bay 2", "job": job, "made_at": timezone.now()}
    return ApiToken.objects.create(digest=uuid4().hex, **values)


def test_an_administrator_sees_the_tokens_of_a_person_and_revokes_them(
    job: Job, other_job: Job, administrator: User, foreman: User, sign_in: SignIn
) -> None:
    token, foreign = token_of(foreman), token_of(foreman, other_job)
    desk = sign_in(administrator)
    page = desk.get(page_of(job, foreman)).text
    assert "Tablet in bay 2" in page and str(token.id) in page and str(foreign.id) not in page
    answer = desk.post(page_of(job, foreman), {"deed": "revoke", "token": str(token.id)})
    assert answer.status_code == 302 or answer.status_code == 303
    for one, is_revoked in ((token, True), (foreign, False)):
        one.refresh_from_db()
        assert (one.revoked_at is not None) is is_revoked
    for wrong in (str(token.id), str(foreign.id), "none"):
        assert desk.post(page_of(job, foreman), {"deed": "revoke", "token": wrong}).status_code == 422
    assert "Tokens for programs" not in desk.get(page_of(job, foreman)).text


def test_a_token_to_another_job_too_is_not_this_administrator_s(
    job: Job, other_job: Job, administrator: User, foreman: User
) -> None:
    MembershipBuilder(job=other_job, user=foreman, role="engineer")
    everywhere, here = token_of(foreman), token_of(foreman, job)
    with pytest.raises(NotAllowed, match="whose people you don’t manage"):
        revoke_token(foreman, everywhere.id, job=job, by=administrator)
    with pytest.raises(NotAllowed):
        revoke_token(foreman, here.id, job=job, by=foreman)
    assert revoke_token(foreman, here.id, job=job, by=administrator).revoked_at is not None


def test_a_lost_phone_is_mended_by_taking_the_second_factor_off(
    job: Job, administrator: User, foreman: User, sign_in: SignIn
) -> None:
    for kind in ("totp", "recovery_codes"):
        Authenticator.objects.create(user=foreman, type=kind, data={})
    inside = sign_in(foreman)
    inside.get("/account/")
    desk = sign_in(administrator)
    assert "Take off the second factor" in desk.get(page_of(job, foreman)).text
    desk.post(page_of(job, foreman), {"deed": "take off"})
    assert not Authenticator.objects.filter(user=foreman).exists()


def test_the_server_takes_a_second_factor_off_too(foreman: User) -> None:
    Authenticator.objects.create(user=foreman, type="totp", data={})
    foreman.set_password(PASSWORD)
    foreman.save()
    session = Client()
    session.force_login(foreman)
    session.get("/account/")
    assert UserSession.objects.filter(user=foreman).exists()
    told = io.StringIO()
    for _ in range(2):
        call_command("take_off_second_factor", "foreman", stdout=told)
    assert session.get("/account/").status_code == 302
    assert told.getvalue().splitlines() == [
        "foreman: the second factor is off.",
        "foreman: there was no second factor.",
    ]
    with pytest.raises(CommandError, match="Nobody signs in as nobody"):
        call_command("take_off_second_factor", "nobody")


def test_a_link_is_mailed_where_an_address_stands(
    job: Job, administrator: User, foreman: User, sign_in: SignIn
) -> None:
    desk = sign_in(administrator)
    refused = desk.post(page_of(job, foreman), {"deed": "mail link"})
    assert refused.status_code == 422 and "No mail address stands" in refused.text
    desk.post(page_of(job, foreman), {"deed": "describe", "email": "Frida@Holm.example", "last_name": "Holm-Oker"})
    foreman.refresh_from_db()
    assert (foreman.email, foreman.last_name) == ("frida@holm.example", "Holm-Oker")
    desk.post(page_of(job, foreman), {"deed": "mail link"})
    [sent] = mail.outbox
    assert sent.to == ["frida@holm.example"] and "http://testserver/password/new/" in sent.body


# --- who may


DEEDS = (
    lambda person, job, by: describe_person(person, first_name="X", last_name="", email="", job=job, by=by),
    lambda person, job, by: give_password_link(person, site="http://x", job=job, by=by),
    lambda person, job, by: switch_sign_in(person, is_open=False, job=job, by=by),
    lambda person, job, by: take_off_second_factor(person, job=job, by=by),
)


@pytest.mark.parametrize("deed", DEEDS)
def test_the_sign_in_of_somebody_on_another_job_too_is_not_this_administrator_s(
    deed, job: Job, other_job: Job, administrator: User, foreman: User
) -> None:
    other = MembershipBuilder(job=other_job, user=foreman, role="engineer")
    with pytest.raises(NotAllowed, match="whose people you don’t manage"):
        deed(foreman, job, administrator)
    other.is_held = False
    other.save()
    deed(foreman, job, administrator)


@pytest.mark.parametrize("deed", DEEDS)
def test_one_s_own_sign_in_is_changed_under_one_s_name(deed, job: Job, administrator: User) -> None:
    with pytest.raises(NotAllowed, match="under your name"):
        deed(administrator, job, administrator)


@pytest.mark.parametrize(
    "deed",
    [
        *DEEDS,
        lambda person, job, by: set_roles(person, ["engineer"], job=job, by=by),
        lambda person, job, by: add_person(NewPerson("nils", "welder"), job=job, by=by),
    ],
)
def test_nobody_but_an_administrator_changes_anything(
    deed, job: Job, welder: User, engineer: User, foreman: User
) -> None:
    for person in (engineer, foreman):
        with pytest.raises(NotAllowed):
            deed(welder, job, person)
    assert roles_of(welder, job) == {"welder"} and entries(job) == []


def test_only_an_administrator_links_stamps(job: Job, engineer: User, unqualified_stamp: Stamp) -> None:
    with pytest.raises(NotAllowed):
        link_stamp(unqualified_stamp, engineer, job=job, by=engineer)


def test_a_person_off_the_job_has_no_page(job: Job, administrator: User, visitor: User, sign_in: SignIn) -> None:
    for name in ("visitor", "nobody", "%00"):
        assert sign_in(administrator).get(f"/jobs/{job.code}/people/{name}/").status_code == 404


def test_a_deed_that_there_is_none_of_is_said(job: Job, administrator: User, foreman: User, sign_in: SignIn) -> None:
    answer = sign_in(administrator).post(page_of(job, foreman), {"deed": "erase"})
    assert answer.status_code == 422 and "What is to be done is missing." in answer.text
