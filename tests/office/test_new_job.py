"""A new job from a page: its settings, its journal, its first administrator, and the import as the next step."""

import pytest
from django.test import Client
from django.urls import reverse

from office.actions.open_job import NewJob, open_job
from records.models import Job, JournalEntry, Membership, User
from records.refusals import Implausible, NotAllowed
from records.verify import first_bad

pytestmark = pytest.mark.django_db
SAID = {
    "code": "HW-8", "name": "Pump house", "client": "Harbour Works", "site": "Quay 3", "units": "SI",
    "construction_code": "ASME B31.3", "edition": "2018", "time_zone": "Europe/Oslo", "recording": "pass",
}  # fmt: skip


def test_opens_a_job_with_its_journal_and_administrator(job: Job, administrator: User) -> None:
    found = open_job(NewJob(**SAID), beside=job, by=administrator)
    stored = Job.objects.get(code="HW-8")
    assert {name: getattr(stored, name) for name in SAID} == SAID
    assert list(Membership.objects.filter(job=stored).values_list("user", "role")) == [
        (administrator.pk, "administrator")
    ]
    first, second = JournalEntry.objects.filter(job=found).order_by("number")
    assert (first.number, first.kind, second.kind) == (1, "job", "membership")
    assert first_bad(found) is None


@pytest.mark.parametrize("role", ["engineer", "foreman", "client_person"])
def test_nobody_else_may(job: Job, role: str, request: pytest.FixtureRequest) -> None:
    with pytest.raises(NotAllowed):
        open_job(NewJob(**SAID), beside=job, by=request.getfixturevalue(role))
    assert not Job.objects.filter(code="HW-8").exists()


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"code": "HW-7"}, "code"),
        ({"code": "hw-7"}, "code"),
        ({"code": "a/b"}, "code"),
        ({"code": ""}, "code"),
        ({"code": "x" * 41}, "code"),
        ({"name": " "}, "name"),
        ({"units": "cubits"}, "units"),
        ({"time_zone": "Mars/Base"}, "time_zone"),
        ({"recording": "all"}, "recording"),
    ],
)
def test_refuses_what_can_t_be_and_writes_nothing(
    job: Job, administrator: User, said: dict[str, str], field: str
) -> None:
    with pytest.raises(Implausible) as refused:
        open_job(NewJob(**SAID | said), beside=job, by=administrator)
    assert [fault.field for fault in refused.value.faults] == [field]
    assert Job.objects.count() == 1


def test_the_page_leads_on_to_the_import(job: Job, administrator: User, client: Client) -> None:
    client.force_login(administrator)
    page = reverse("job-new", args=[job.code])
    assert page in client.get(reverse("job", args=[job.code])).text
    assert client.get(page).context["form"]["construction_code"].value() == job.construction_code
    answer = client.post(page, SAID, follow=True)
    assert answer.redirect_chain[-1][0] == reverse("imports", args=["HW-8"])
    assert "HW-8 is open" in answer.text and reverse("template-xlsx", args=["HW-8"]) in answer.text
    again = client.post(page, SAID)
    assert again.status_code == 422 and "The code HW-8 is taken" in again.text


def test_pages_of_a_job_without_joints_promise_nothing_and_lead_to_the_import(
    job: Job, administrator: User, client: Client
) -> None:
    client.force_login(administrator)
    pages = {name: client.get(reverse(name, args=[job.code])).content.decode() for name in (
        "weld-log", "packages", "progress", "heats"
    )}  # fmt: skip
    assert reverse("imports", args=[job.code]) in pages["weld-log"] and "manage.py" not in pages["weld-log"]
    assert "Nothing is missing" not in pages["packages"] and "no joints yet" in pages["packages"]
    assert "0 of 0" not in pages["progress"] and "Every heat" not in pages["heats"]
