"""The weld log: its filters, its search, its paging, and what it costs."""

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from joints.queries.weld_log import PAGE, Wanted, joints_wanted, weld_log
from records.models import Finding, Job, Joint, Sheet, Stamp, User
from tests.builders import JointBuilder
from tests.many import many_joints

pytestmark = pytest.mark.django_db


def address(job: Job) -> str:
    return reverse("weld-log", args=[job.code])


def numbers(job: Job, **asked: str) -> set[str]:
    return set(joints_wanted(job, Wanted(**asked)).values_list("number", flat=True))


def test_pages_through_every_joint_once_and_back(job: Job) -> None:
    stored = [joint.id for joint in many_joints(job, 2 * PAGE + 7)]
    pages = [weld_log(job, Wanted())]
    while pages[-1].next:
        pages.append(weld_log(job, Wanted(), after=pages[-1].next))
    assert [row.id for page in pages for row in page.rows] == stored
    assert pages[0].previous is None
    back = weld_log(job, Wanted(), before=pages[2].previous)
    assert [row.id for row in back.rows] == [row.id for row in pages[1].rows]
    assert weld_log(job, Wanted(), before=back.previous).previous is None


def test_pages_past_joints_with_the_same_sort_key(job: Job) -> None:
    many_joints(job, PAGE + 20)
    Joint.objects.filter(job=job).update(sort_key="same")
    first = weld_log(job, Wanted())
    second = weld_log(job, Wanted(), after=first.next)
    assert len({row.id for row in first.rows + second.rows}) == PAGE + 20


def test_counts_what_matches(job: Job) -> None:
    many_joints(job, 70)
    assert weld_log(job, Wanted()).count == 70
    page = weld_log(job, Wanted(state="welded"))
    assert (page.count, page.is_more) == (10, False)


def test_filters_by_each_column(job: Job, sheet, procedure) -> None:
    many_joints(job, 14)
    one = JointBuilder(sheet=sheet, number="77", kind="butt", location="field", alias="OLD-4", procedure=procedure)
    assert numbers(job, kind="butt") == {"77"}
    assert numbers(job, location="field") == {"77"}
    assert numbers(job, line=sheet.line.number.lower()) == {"77"}
    assert numbers(job, spool=one.spool.mark) >= {"77"}
    assert numbers(job, heat=one.heat_a.number) == {"77"}
    assert numbers(job, state="welded") == {"4", "11"}
    assert numbers(job, findings="stop") == {str(n) for n in range(1, 15, 2)}
    assert numbers(job, findings="any") == {str(n) for n in range(1, 15)}


def test_filters_by_one_of_several_stamps_and_methods(job: Job) -> None:
    many_joints(job, 7)
    code = Stamp.objects.get(job=job).code
    assert numbers(job, stamp=code) == numbers(job, stamp="Z9") == {"3", "4", "5", "6", "7"}
    assert numbers(job, stamp=code[:-1]) == set()
    assert numbers(job, due="RT") == numbers(job, due="VT") == {"4"}
    assert numbers(job, due="T") == set()


def test_filters_by_what_a_joint_waits_for(job: Job) -> None:
    many_joints(job, 7)
    assert numbers(job, waits="assign") == {"2", "3"}
    assert numbers(job, waits="examine") == {"4"}
    assert numbers(job, waits="decide repair") == {"5"}
    assert numbers(job, waits="release") == {"6"}
    assert numbers(job, waits="acceptance") == {"1", "2", "3", "4", "5"}


@pytest.mark.parametrize("field", ["state", "kind", "location", "waits", "findings"])
def test_an_unknown_word_in_a_filter_matches_nothing(job: Job, field: str) -> None:
    many_joints(job, 3)
    assert numbers(job, **{field: "nonsense"}) == set()


def test_finds_a_joint_by_whatever_is_written_on_it(job: Job, sheet, procedure) -> None:
    many_joints(job, 5)
    one = JointBuilder(sheet=sheet, number="77", alias="OLD-4", procedure=procedure)
    for text in ("77", "old-4", one.spool.mark, one.heat_b.number.lower(), "ISO-1101/1/77"):
        assert "77" in numbers(job, search=text), text
    assert numbers(job, search=sheet.drawing) >= {"77"}
    assert "77" in numbers(job, search=f"{sheet.drawing.lower()}/{sheet.number}"), "as the log itself writes a sheet"
    assert numbers(job, search=f"{sheet.drawing}/99") == set()
    assert numbers(job, search="no such thing") == set()


def test_shows_the_worst_open_finding_and_not_an_overridden_one(job: Job, joint: Joint) -> None:
    for severity, message in (("correct", "Gap too wide."), ("stop", "Amps too high."), ("note", "By the way.")):
        Finding.objects.create(
            job=job, joint=joint, attempt="0", code="x", severity=severity, message=message, source="s"
        )
    [row] = weld_log(job, Wanted()).rows
    assert (row.weight, row.remark) == ("stop", "Amps too high.")


def test_what_only_comes_next_is_no_remark_and_holds_no_joint(job: Job, sheet: Sheet) -> None:
    due, held = JointBuilder(sheet=sheet, number="81"), JointBuilder(sheet=sheet, number="82")
    for joint, code in ((due, "examination-due"), (held, "examination-due"), (held, "pass-out-of-range")):
        Finding.objects.create(
            job=job, joint=joint, attempt="0", code=code, severity="stop", message=f"{code}.", source="s"
        )
    Joint.objects.filter(id__in=[due.id, held.id]).update(state="welded", due="VT", stops=1)
    rows = {row.number: (row.weight, row.remark) for row in weld_log(job, Wanted(findings="stop")).rows}
    assert rows == {"81": ("", "VT due"), "82": ("stop", "pass-out-of-range.")}
    assert numbers(job, findings="held") == {"82"}


def test_offers_the_next_step_to_whoever_may_take_it(
    job: Job, joint: Joint, foreman: User, inspector: User, client_person: User, sign_in
) -> None:
    assign = reverse("joint-assign", args=[job.code, joint.id])
    fit_up = reverse("fit-up-record", args=[job.code, joint.id])
    assert assign in sign_in(foreman).get(address(job)).content.decode()
    assert fit_up in sign_in(inspector).get(address(job)).content.decode()
    shown = sign_in(client_person).get(address(job)).content.decode()
    assert assign not in shown and fit_up not in shown and "fit up" in shown


def test_answers_htmx_with_the_list_alone(job: Job, joint: Joint, foreman: User, sign_in) -> None:
    shown = sign_in(foreman).get(address(job), headers={"HX-Request": "true"}).content.decode()
    assert "<html" not in shown and "<table" in shown


def test_tells_the_next_step_where_nothing_matches(job: Job, joint: Joint, foreman: User, sign_in) -> None:
    shown = sign_in(foreman).get(address(job), {"search": "nowhere"}).content.decode()
    assert "No joint matches" in shown and f'href="{address(job)}"' in shown


@pytest.mark.parametrize("query", ["after=x", "before=%00", "search=%00", "line=%00&after=", "after=" + "0" * 32])
def test_a_broken_address_still_shows_the_log(job: Job, joint: Joint, foreman: User, sign_in, query: str) -> None:
    assert sign_in(foreman).get(f"{address(job)}?{query}").status_code == 200


def test_hides_another_job(job: Job, joint: Joint, visitor: User, sign_in) -> None:
    assert sign_in(visitor).get(address(job)).status_code == 404


def test_escapes_what_people_wrote(job: Job, joint: Joint, foreman: User, sign_in) -> None:
    Joint.objects.filter(id=joint.id).update(stamps='<script>alert("x")</script>')
    shown = sign_in(foreman).get(address(job), {"search": '"><script>'}).content.decode()
    assert not re.search(r"<script>(?!</script>)", shown)


def test_asks_as_often_of_a_thousand_joints_as_of_ten(job: Job, foreman: User, sign_in) -> None:
    person = sign_in(foreman)
    counts = []
    for joints in (10, 990):
        many_joints(job, joints)
        with CaptureQueriesContext(connection) as asked:
            assert person.get(address(job)).status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 10
