"""Progress, lines, people and papers: what they show, to whom, and what it costs."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from office.queries.handover import missing_counts
from office.queries.progress import PAGE, progress
from records.models import Job, Joint, Line, Sheet, Stamp, User
from tests.builders import LineBuilder, MembershipBuilder, OwnerLimitBuilder, UserBuilder
from tests.many import lines_of, many_joints

pytestmark = pytest.mark.django_db


def test_progress_pages_through_the_lines_and_totals_the_job(job: Job) -> None:
    many_joints(job, PAGE + 3, per_line=1)
    first = progress(job)
    second = progress(job, after=first.next)
    assert len(first.lines) == PAGE and len(second.lines) == 3
    assert first.total == second.total and first.total.joints == PAGE + 3
    assert progress(job, before=second.previous).lines == first.lines


def test_progress_draws_a_strip_that_says_its_figures(job: Job, owner: User, sign_in) -> None:
    many_joints(job, 7)
    shown = sign_in(owner).get(reverse("progress", args=[job.code])).content.decode()
    assert 'fill="url(#hatch-in-progress)"' in shown and 'id="hatch-in-progress"' in shown
    assert f"<title>{lines_of(job)[0].number}: 1 released, 1 accepted, 1 rejected" in shown
    assert "style=" not in shown


def test_a_line_shows_its_map_sheets_joints_and_papers(job: Job, joint: Joint, client_person: User, sign_in) -> None:
    line = joint.line
    shown = sign_in(client_person).get(reverse("line", args=[job.code, line.id])).content.decode()
    for words in ("ISO-1101", joint.spool.mark, "Weld map", "<svg", reverse("weld-map-pdf", args=[job.code, line.id])):
        assert words in shown, words


def test_a_line_says_where_its_exam_plan_asks_less_than_the_code(
    job: Job, joint: Joint, client_person: User, sign_in
) -> None:
    line, browser = joint.line, sign_in(client_person)
    address = reverse("line", args=[job.code, line.id])
    # The plan asks all by eye, which is enough for a socket in Normal service (341.4.1).
    assert "least is" not in browser.get(address).text
    Joint.objects.filter(id=joint.id).update(kind="butt")
    told = "RT or UT: the plan asks 0\N{NO-BREAK SPACE}% of butt welds, and the code&#x27;s least is 5\N{NO-BREAK SPACE}% (ASME B31.3-2012 341.4.1)."
    assert told in browser.get(address).text
    OwnerLimitBuilder(job=job, limit="RT share min", value=5)
    assert "least is" not in browser.get(address).text
    Line.objects.filter(id=line.id).update(severe_cyclic=True)
    assert (
        "the plan asks 5\N{NO-BREAK SPACE}% of butt welds, and the code&#x27;s least is 100\N{NO-BREAK SPACE}%"
        in browser.get(address).text
    )
    Job.objects.filter(id=job.id).update(construction_code="ASME B31.1")
    assert "least is" not in browser.get(address).text


def test_a_line_without_joints_says_so(job: Job, owner: User, sign_in) -> None:
    line = LineBuilder(job=job)
    shown = sign_in(owner).get(reverse("line", args=[job.code, line.id])).content.decode()
    assert "This line has no joints yet" in shown


def test_a_line_without_joints_leads_whoever_plans_to_its_routes(sheet: Sheet, sign_in) -> None:
    engineer = UserBuilder()
    MembershipBuilder(user=engineer, job=sheet.job, role="engineer")
    shown = sign_in(engineer).get(reverse("line", args=[sheet.job.code, sheet.line_id])).content.decode()
    assert "Or write the route of a sheet below: they follow from it." in shown


def test_a_line_of_another_job_does_not_exist(job: Job, other_job: Job, line: Line, visitor: User, sign_in) -> None:
    assert sign_in(visitor).get(reverse("line", args=[job.code, line.id])).status_code == 404
    assert sign_in(visitor).get(reverse("line", args=[other_job.code, line.id])).status_code == 404


def test_people_shows_how_they_sign_in_only_to_whoever_manages_them(
    job: Job, stamp: Stamp, welder: User, client_person: User, administrator: User, sign_in
) -> None:
    address = reverse("people", args=[job.code])
    read = sign_in(client_person).get(address).content.decode()
    managed = sign_in(administrator).get(address).content.decode()
    for shown in (read, managed):
        assert "Arne Lindqvist" in shown and ">A1<" in shown
    assert "Signs in as" in managed and "Signs in as" not in read


def test_papers_of_a_line_and_of_the_job_are_pdfs_to_save(job: Job, joint: Joint, client_person: User, sign_in) -> None:
    person = sign_in(client_person)
    assert joint.line.number in person.get(reverse("papers", args=[job.code])).content.decode()
    for address in (
        reverse("weld-map-pdf", args=[job.code, joint.line_id]),
        reverse("weld-log-pdf", args=[job.code]),
        reverse("findings-pdf", args=[job.code]) + f"?line={joint.line.number}",
    ):
        answer = person.get(address)
        assert answer.content.startswith(b"%PDF-"), address
        assert answer["Content-Disposition"].startswith("attachment"), address
        assert answer["X-Content-Type-Options"] == "nosniff", address
    assert person.get(reverse("weld-log-pdf", args=[job.code]), {"line": "no such line"}).status_code == 404


def test_counts_what_is_missing_before_handover(job: Job) -> None:
    many_joints(job, 14)
    found = {one.what: one.count for one in missing_counts(job)}
    assert found == {
        "joints not yet accepted": 10,
        "joints with an examination due": 2,
        "accepted joints without a release": 2,
        "open findings that stop a release": 7,
        "open findings to correct": 7,
        "certificates without their file": 3,
    }


@pytest.mark.parametrize("route", ["progress", "papers", "packages", "people"])
def test_asks_as_often_of_a_thousand_joints_as_of_ten(route: str, job: Job, engineer: User, sign_in) -> None:
    person = sign_in(engineer)
    counts = []
    for joints in (10, 990):
        many_joints(job, joints)
        with CaptureQueriesContext(connection) as asked:
            assert person.get(reverse(route, args=[job.code])).status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 14


def test_a_line_asks_as_often_of_four_hundred_joints_as_of_sixty(job: Job, engineer: User, sign_in) -> None:
    person = sign_in(engineer)
    counts = []
    for joints in (60, 400):
        many_joints(job, joints, per_line=joints)
        line = Joint.objects.filter(job=job).order_by("-line_id").first().line
        with CaptureQueriesContext(connection) as asked:
            assert person.get(reverse("line", args=[job.code, line.id])).status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1]
