"""The named cast of every test, and the ordinary job they work on."""

import time
from collections.abc import Callable

import pytest
from django.test import Client

from records.models import FillerLot, Job, Joint, Line, Procedure, Sheet, Stamp, User
from records.permissions import roles_of
from tests.builders import (
    ExaminerBuilder,
    FillerLotBuilder,
    JobBuilder,
    JointBuilder,
    LineBuilder,
    MembershipBuilder,
    ProcedureBuilder,
    QualificationBuilder,
    SheetBuilder,
    StampBuilder,
    UserBuilder,
    WelderBuilder,
)
from weldtrack.account.last_seen import SEEN

SignIn = Callable[[User], Client]


def member(job: Job, role: str, username: str, first: str, last: str) -> User:
    """A person with one role on a job."""
    user = UserBuilder(username=username, first_name=first, last_name=last)
    MembershipBuilder(job=job, user=user, role=role)
    assert roles_of(user, job) == {role}
    return user


@pytest.fixture
def job(db: None) -> Job:
    return JobBuilder(code="HW-7")


@pytest.fixture
def other_job(db: None) -> Job:
    """A job that nobody of the cast is on but the visitor."""
    return JobBuilder(code="EX-1", name="Somebody else's job")


@pytest.fixture
def foreman(job: Job) -> User:
    return member(job, "foreman", "foreman", "Frida", "Holm")


@pytest.fixture
def inspector(job: Job) -> User:
    user = member(job, "inspector", "inspector", "Ines", "Carrow")
    ExaminerBuilder(job=job, name="Ines Carrow")
    return user


@pytest.fixture
def welder(job: Job) -> User:
    """Arne Lindqvist, who signs in on his phone; his stamp is the fixture `stamp`."""
    return member(job, "welder", "welder", "Arne", "Lindqvist")


@pytest.fixture
def engineer(job: Job) -> User:
    return member(job, "engineer", "engineer", "Edda", "Mroz")


@pytest.fixture
def owner(job: Job) -> User:
    return member(job, "owner", "owner", "Oskar", "Vale")


@pytest.fixture
def client_person(job: Job) -> User:
    return member(job, "client", "client", "Clara", "Dunn")


@pytest.fixture
def administrator(job: Job) -> User:
    return member(job, "administrator", "administrator", "Ada", "Penn")


@pytest.fixture
def visitor(other_job: Job) -> User:
    """An engineer, but of another job."""
    return member(other_job, "engineer", "visitor", "Viktor", "Roe")


@pytest.fixture
def sign_in() -> SignIn:
    """Sign a person in: `sign_in(foreman).get(...)`."""

    def signed_in(user: User) -> Client:
        browser = Client()
        browser.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
        # As after the first page: this session was noted already, and the next pages cost what pages cost.
        session = browser.session
        session[SEEN] = int(time.time())
        session.save()
        return browser

    return signed_in


@pytest.fixture
def line(job: Job) -> Line:
    return LineBuilder(job=job, number="1-CW-1101")


@pytest.fixture
def sheet(line: Line) -> Sheet:
    return SheetBuilder(line=line, drawing="ISO-1101")


@pytest.fixture
def procedure(job: Job) -> Procedure:
    return ProcedureBuilder(job=job, number="W-11")


@pytest.fixture
def joint(sheet: Sheet, procedure: Procedure) -> Joint:
    """Joint 14 of the ordinary line, planned."""
    return JointBuilder(sheet=sheet, number="14", procedure=procedure)


@pytest.fixture
def stamp(job: Job, welder: User) -> Stamp:
    """A1, Arne Lindqvist's stamp, qualified for the ordinary line."""
    stamp = StampBuilder(welder=WelderBuilder(job=job, name="Arne Lindqvist", user=welder), code="A1")
    QualificationBuilder(stamp=stamp)
    return stamp


@pytest.fixture
def unqualified_stamp(job: Job) -> Stamp:
    """B2, Bo Krantz, who never took a test."""
    return StampBuilder(welder=WelderBuilder(job=job, name="Bo Krantz"), code="B2")


@pytest.fixture
def filler_lot(job: Job) -> FillerLot:
    return FillerLotBuilder(job=job, number="F-2209")
