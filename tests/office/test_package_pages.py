"""The pages of turnover packages: asking, watching, taking away."""

import pytest
from django.urls import reverse

from office.actions.build_package import KIND
from records.models import Job, Joint, Line, User, Work

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def no_worker(monkeypatch: pytest.MonkeyPatch) -> None:
    """Packages are asked for here and built in the tests of the action."""
    monkeypatch.setattr("records.work.deliver", lambda work_id: None)


def packages(job: Job) -> str:
    return reverse("packages", args=[job.code])


def test_asking_leads_to_where_the_progress_shows(job: Job, joint: Joint, engineer: User, sign_in) -> None:
    answer = sign_in(engineer).post(packages(job), {"scope": "line", "which": joint.line.number})
    work = Work.objects.get(job=job, kind=KIND)
    assert answer["Location"] == reverse("package-work", args=[job.code, work.id])
    assert work.arguments == {"scope": "line", "of": str(joint.line_id)}


def test_pressing_twice_asks_once(job: Job, joint: Joint, engineer: User, sign_in) -> None:
    person = sign_in(engineer)
    first, second = (person.post(packages(job), {"scope": "job"})["Location"] for _ in range(2))
    assert first == second and Work.objects.count() == 1


def test_an_unknown_line_comes_back_with_what_was_typed(job: Job, joint: Joint, engineer: User, sign_in) -> None:
    answer = sign_in(engineer).post(packages(job), {"scope": "line", "which": '9"-XX'})
    shown = answer.content.decode()
    assert answer.status_code == 422 and Work.objects.count() == 0
    assert 'href="#which"' in shown and "9&quot;-XX" in shown and 'aria-invalid="true"' in shown


@pytest.mark.parametrize("role", ["welder", "foreman", "owner", "client_person"])
def test_who_may_not_build_sees_no_button_and_is_refused(role: str, request, job: Job, sign_in) -> None:
    person = sign_in(request.getfixturevalue(role))
    assert "Build the package" not in person.get(packages(job)).content.decode()
    assert person.post(packages(job), {"scope": "job"}).status_code == 403
    assert Work.objects.count() == 0


def work_of(job: Job, user: User, **values: object) -> Work:
    return Work.objects.create(job=job, kind=KIND, asked_by=user, asked_at="2026-01-01T00:00Z", **values)


def test_running_work_asks_again_by_itself_and_by_a_link(job: Job, engineer: User, sign_in) -> None:
    work = work_of(job, engineer, state="running", step="Drawing the weld log", done=3, total=9)
    address = reverse("package-work", args=[job.code, work.id])
    shown = sign_in(engineer).get(address).content.decode()
    assert 'hx-trigger="every 2s"' in shown and f'href="{address}"' in shown
    assert '<progress max="9" value="3"' in shown and "Drawing the weld log" in shown
    part = sign_in(engineer).get(address, headers={"HX-Request": "true"}).content.decode()
    assert "<html" not in part and 'id="work"' in part


def test_failed_work_says_why_and_asks_no_more(job: Job, engineer: User, sign_in) -> None:
    work = work_of(job, engineer, state="failed", error="The disk is full.")
    shown = sign_in(engineer).get(reverse("package-work", args=[job.code, work.id])).content.decode()
    assert "The disk is full." in shown and "hx-trigger" not in shown


def test_other_work_and_work_of_another_job_is_no_package(
    job: Job, other_job: Job, engineer: User, visitor: User, sign_in
) -> None:
    other_kind = Work.objects.create(job=job, kind="refresh findings", asked_by=engineer, asked_at="2026-01-01T00:00Z")
    foreign = work_of(other_job, visitor)
    for work in (other_kind, foreign):
        assert sign_in(engineer).get(reverse("package-work", args=[job.code, work.id])).status_code == 404


def test_says_what_is_missing_and_where(job: Job, line: Line, joint: Joint, client_person: User, sign_in) -> None:
    shown = sign_in(client_person).get(packages(job)).content.decode()
    assert "<b>1</b>" in shown and "joint not yet accepted" in shown
    log = f"{reverse('weld-log', args=[job.code])}?waits=acceptance"
    assert log in shown and "1 joint matches" in sign_in(client_person).get(log).content.decode()
