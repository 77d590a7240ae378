"""Sign-ins, tokens and second factors of the people of a job: what an administrator closes, revokes and takes off."""

import io
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
from office.actions.revoke_token import revoke_token
from office.actions.set_roles import set_roles
from office.actions.switch_sign_in import switch_sign_in
from records.locking import lock_people
from records.models import ApiToken, Job, Membership, User
from records.permissions import roles_of
from records.refusals import NotAllowed
from tests.builders import MembershipBuilder, UserBuilder
from tests.conftest import SignIn
from tests.office.test_people_page import page_of
from tests.weldtrack.codes import PASSWORD, come_in

pytestmark = pytest.mark.django_db


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
