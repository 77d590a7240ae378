"""The people of a job: who comes onto it, their roles, stamps and sign-ins, and who may change what."""

import re

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from office.actions.add_person import NewPerson, add_person
from office.actions.describe_person import describe_person
from office.actions.give_password_link import give_password_link
from office.actions.link_stamp import link_stamp
from office.actions.set_roles import set_roles
from office.actions.switch_sign_in import switch_sign_in
from office.actions.take_off_second_factor import take_off_second_factor
from records import journal
from records.models import Job, JournalEntry, Line, Membership, Stamp, User
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


def test_a_wrong_form_says_each_field_once_and_what_a_mail_address_is(
    job: Job, administrator: User, sign_in: SignIn
) -> None:
    answer = sign_in(administrator).post(
        reverse("person-add", args=[job.code]), {"username": "", "role": "welder", "email": "nonsense"}
    )
    assert answer.status_code == 422
    summary = answer.text.split('id="faults"')[1].split("</section>")[0]
    assert "Name to sign in with</a>: this is missing." in summary
    assert "Mail address</a>: This is no mail address. Accepted: one such as name@example.com." in summary
