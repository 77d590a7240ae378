"""Putting people on a job from the command line."""

import io
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from records.models import Job, JournalEntry, Membership, User
from records.permissions import roles_of


def add(*words: str) -> str:
    told = io.StringIO()
    call_command("add_person", *words, stdout=told)
    return told.getvalue()


@pytest.fixture
def typed(monkeypatch: Any) -> Any:
    """What is piped into the command."""
    return lambda line: monkeypatch.setattr("sys.stdin", io.StringIO(line + "\n"))


def test_gives_a_new_person_a_sign_in_and_a_role(job: Job, typed: Any) -> None:
    typed("a long walk to the yard")
    assert "can sign in" in add("nils", "--job", job.code, "--role", "foreman", "--first", "Nils", "--last", "Oker")
    nils = User.objects.get(username="nils")
    assert nils.check_password("a long walk to the yard")
    assert nils.get_full_name() == "Nils Oker"
    assert roles_of(nils, job) == {"foreman"}


def test_the_membership_stands_in_the_journal(job: Job, welder: User) -> None:
    before = JournalEntry.objects.count()
    add("welder", "--job", job.code, "--role", "foreman")
    assert JournalEntry.objects.count() > before
    assert roles_of(welder, job) == {"welder", "foreman"}


def test_twice_is_once(job: Job, welder: User) -> None:
    assert "already" in add("welder", "--job", job.code, "--role", "welder")
    assert Membership.objects.filter(user=welder).count() == 1


@pytest.mark.parametrize("password", ["short", "1234567890", "password123"])
def test_a_weak_password_is_refused_and_nothing_written(job: Job, typed: Any, password: str) -> None:
    typed(password)
    with pytest.raises(CommandError):
        add("nils", "--job", job.code, "--role", "client")
    assert not User.objects.filter(username="nils").exists()


def test_an_unknown_job_is_said(db: None) -> None:
    with pytest.raises(CommandError, match="There is no job NONE"):
        add("nils", "--job", "NONE", "--role", "client")
