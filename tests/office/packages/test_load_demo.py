"""The demonstration job: loaded once, printed every time, refused where others reach the site."""

from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from office.management.commands.load_demo import CODE, CREW, PASSWORD
from records.journal import head_of
from records.models import Certificate, Job, Stamp, User
from records.models.job import ROLES
from records.permissions import roles_of
from records.verify import first_bad


@pytest.mark.django_db
def test_loads_a_job_in_which_every_role_can_sign_in_and_twice_equals_once(storage: Path) -> None:
    changed = User.objects.create_user("client", password="a phrase of their own", first_name="Ysolde")
    first, second = StringIO(), StringIO()
    call_command("load_demo", stdout=first)
    job = Job.objects.get(code=CODE)
    head = head_of(job)

    assert {person.role for person in CREW} == set(ROLES)
    for person in CREW:
        user = User.objects.get(username=person.sign_in)
        assert user.check_password(PASSWORD if user != changed else "a phrase of their own")
        assert roles_of(user, job) == {person.role}
        line = next(line for line in first.getvalue().splitlines() if f" {person.sign_in} " in line)
        assert line.split()[:2] == [person.role, person.sign_in]
    assert PASSWORD in first.getvalue()
    assert Stamp.objects.get(job=job, code="D12").welder.user == User.objects.get(username="welder")
    assert list(Certificate.objects.filter(job=job, file="").values_list("number", flat=True)) == ["MC-M71355"]
    assert first_bad(job) is None

    call_command("load_demo", stdout=second)
    assert head_of(job) == head
    assert second.getvalue() == first.getvalue().partition("\n")[2]


@pytest.mark.django_db
def test_is_refused_on_a_site_that_others_reach(settings: Any) -> None:
    settings.PRODUCTION = True
    with pytest.raises(CommandError, match="passwords that everybody knows") as refused:
        call_command("load_demo")
    assert refused.value.returncode == 1
    assert not User.objects.exists()
