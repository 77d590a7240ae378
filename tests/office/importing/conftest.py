"""Fixtures of the pages of imports: a job made by the clean workbook, and its engineer."""

from collections.abc import Iterator
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest
from django.db import transaction
from django.test import Client
from django.utils import timezone

from records import journal
from records.models import Job, User
from tests.builders import MembershipBuilder, UserBuilder
from tests.conftest import SignIn
from tests.databases import made_once
from tests.office.importing.books import CODE, import_sheets
from tests.office.workbooks import clean_sheets


@pytest.fixture
def storage(tmp_path: Path, settings: Any) -> Path:
    """Where what is sent in is kept; no engine takes the work by itself."""
    settings.MEDIA_ROOT = tmp_path / "files"
    settings.WORK_THREAD = "tests.office.packages.test_worker.leave_it"
    return tmp_path / "files"


@pytest.fixture(scope="module")
def made_small_job(django_db_setup: None, django_db_blocker: Any, tmp_path_factory: Any) -> Iterator[Job]:
    folder = tmp_path_factory.mktemp("small job")

    def make() -> Job:
        sheets = clean_sheets()
        for name in ("Fit-ups", "Passes", "Examinations", "Repairs", "Releases"):
            del sheets[name]
        import_sheets(sheets, folder)
        return Job.objects.get(code=CODE)

    with made_once(make, django_db_blocker, folder / "files") as made:
        yield made


@pytest.fixture
def small_job(made_small_job: Job, db: None, storage: Path) -> Job:
    """The job of the clean workbook, without its records."""
    return deepcopy(made_small_job)


@pytest.fixture
def planner(small_job: Job) -> User:
    """The engineer of the small job."""
    user = UserBuilder(username="planner", first_name="Petra", last_name="Lund")
    with transaction.atomic():
        role = MembershipBuilder(job=small_job, user=user, role="engineer")
        journal.append([role], job=small_job, by=user, at=timezone.now())
    return user


@pytest.fixture
def desk(planner: User, sign_in: SignIn) -> Client:
    """The engineer's browser."""
    return sign_in(planner)
