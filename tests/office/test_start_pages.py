"""The start pages: what waits for each role, what is said where nothing does, and what it costs."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from records.journal import head_of
from records.models import Job, Joint, Stamp, User, Work
from records.site_account import site_account
from tests.builders import JobBuilder, MembershipBuilder, UserBuilder, days_ago
from tests.many import many_joints

pytestmark = pytest.mark.django_db
ROLES = ("welder", "foreman", "inspector", "engineer", "owner", "client_person", "administrator")


def shown_to(user: User, job: Job, sign_in) -> str:
    return sign_in(user).get(reverse("job", args=[job.code])).content.decode()


def test_leads_straight_to_the_only_job(job: Job, foreman: User, sign_in) -> None:
    answer = sign_in(foreman).get("/")
    assert answer.status_code == 302 and answer["Location"] == reverse("job", args=[job.code])


def test_lets_whoever_is_on_several_jobs_choose(job: Job, other_job: Job, visitor: User, sign_in) -> None:
    MembershipBuilder(job=job, user=visitor, role="client")
    shown = sign_in(visitor).get("/").content.decode()
    for one in (job, other_job):
        assert reverse("job", args=[one.code]) in shown


def test_says_so_where_somebody_is_on_no_job(db: None, sign_in) -> None:
    assert "You are not on a job yet" in sign_in(UserBuilder()).get("/").content.decode()


def test_asks_a_stranger_to_sign_in(job: Job, client) -> None:
    for address in ("/", reverse("job", args=[job.code])):
        assert client.get(address)["Location"].startswith(reverse("account_login"))


def test_a_welder_finds_what_is_assigned_to_them_and_nothing_else(
    job: Job, joint: Joint, stamp: Stamp, welder: User, sign_in
) -> None:
    fit_up = reverse("fit-up-record", args=[job.code, joint.id])
    assert fit_up not in shown_to(welder, job, sign_in)
    Joint.objects.filter(id=joint.id).update(assigned=stamp)
    assert fit_up in shown_to(welder, job, sign_in)
    Joint.objects.filter(id=joint.id).update(next_step="weld", state="fitted")
    assert reverse("pass-record", args=[job.code, joint.id]) in shown_to(welder, job, sign_in)


def test_a_welder_without_a_stamp_is_told_what_to_do(job: Job, welder: User, sign_in) -> None:
    assert "No stamp of this job is yours yet" in shown_to(welder, job, sign_in)


def test_a_foreman_finds_what_to_assign_what_is_stopped_and_what_lapses(
    job: Job, joint: Joint, stamp: Stamp, foreman: User, sign_in
) -> None:
    stamp.qualifications.update(tested_on=days_ago(170))
    Joint.objects.filter(id=joint.id).update(stops=1)
    shown = shown_to(foreman, job, sign_in)
    assert reverse("joint-assign", args=[job.code, joint.id]) in shown
    assert "1 qualification lapses within 30 days" in shown and "Arne Lindqvist" in shown
    assert "No open finding stops a joint" not in shown


def test_an_inspector_finds_the_queue_by_method_the_rejects_and_the_releases(
    job: Job, inspector: User, sign_in
) -> None:
    joints = {joint.state: joint for joint in many_joints(job, 7)}
    shown = shown_to(inspector, job, sign_in)
    assert reverse("repair-decide", args=[job.code, joints["rejected"].id]) in shown
    assert reverse("joint-release", args=[job.code, joints["accepted"].id]) in shown
    assert reverse("examination-record", args=[job.code, joints["welded"].id, "VT"]) in shown
    assert "to-examine/?method=RT" in shown and ">RT <b>1<" in shown


def test_an_engineer_finds_findings_papers_and_work(job: Job, engineer: User, sign_in) -> None:
    many_joints(job, 6)
    Joint.objects.filter(job=job, number="1").update(is_stale=True)
    Work.objects.create(
        job=job, kind="build package", asked_by=engineer, asked_at="2026-01-01T00:00Z", state="failed", error="No room."
    )
    shown = shown_to(engineer, job, sign_in)
    assert "?code=pass-out-of-range" in shown
    assert "3 certificates have no file" in shown
    assert "1 joint waits for its findings" in shown and "No room." in shown


def test_an_administrator_finds_the_end_of_the_journal(job: Job, administrator: User, sign_in) -> None:
    site_account(job)  # which is nobody
    shown = shown_to(administrator, job, sign_in)
    assert f"{head_of(job)}" in shown and "engineer 0" in shown and "administrator 1" in shown


@pytest.mark.parametrize("role", ROLES)
def test_an_empty_job_tells_each_role_what_comes_next(role: str, request, job: Job, sign_in) -> None:
    shown = shown_to(request.getfixturevalue(role), job, sign_in)
    assert "This job has no joints yet" in shown and 'class="nothing"' in shown


def test_whoever_holds_two_roles_finds_both(job: Job, foreman: User, sign_in) -> None:
    MembershipBuilder(job=job, user=foreman, role="inspector")
    shown = shown_to(foreman, job, sign_in)
    assert "Ready to assign" in shown and "Ready for release" in shown


def test_an_owner_who_is_the_client_reads_the_packages_once(job: Job, owner: User, sign_in) -> None:
    MembershipBuilder(job=job, user=owner, role="client")
    assert shown_to(owner, job, sign_in).count("Turnover packages") == 1


def test_hides_another_job(foreman: User, sign_in) -> None:
    foreign = JobBuilder()
    assert sign_in(foreman).get(reverse("job", args=[foreign.code])).status_code == 404


@pytest.mark.parametrize("role", ROLES)
def test_asks_as_often_of_a_thousand_joints_as_of_ten(role: str, request, job: Job, stamp: Stamp, sign_in) -> None:
    person = sign_in(request.getfixturevalue(role))
    counts = []
    for joints in (10, 990):
        many_joints(job, joints)
        Joint.objects.filter(job=job, state__in=("planned", "fitted")).update(assigned=stamp)
        with CaptureQueriesContext(connection) as asked:
            assert person.get(reverse("job", args=[job.code])).status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 16
