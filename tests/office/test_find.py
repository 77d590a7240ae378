"""The one search box: what it finds, in which order, on this job alone, in one query however large the job is."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inspection.actions.record_examinations import record_examinations
from joints.actions.withdraw_records import withdraw_records
from office.queries.find import MOST, Group, find
from records.models import Examination, Job, Joint, Stamp, User, Withdrawal
from tests.builders import HeatBuilder, JointBuilder, PieceBuilder, SheetBuilder, SpoolBuilder, days_ago
from tests.conftest import SignIn
from tests.many import many_joints


def names(groups: tuple[Group, ...], kind: str) -> list[str]:
    return [hit.name for group in groups if group.kind == kind for hit in group.hits]


def full(joint: Joint) -> str:
    return f"{joint.sheet.drawing}/{joint.sheet.number}/{joint.number}"


def test_a_joint_is_found_by_number_alias_and_full_name(joint: Joint) -> None:
    Joint.objects.filter(id=joint.id).update(alias="FW-3")
    named = full(joint)
    for text in (joint.number, "fw-3", "FW", named, named.lower(), named[:-1]):
        assert names(find(joint.job, text), "joint") == [named], text


def test_the_exact_number_comes_before_longer_ones_and_two_before_ten(joint: Joint) -> None:
    for number in ("7", "70", "7A", "710"):
        JointBuilder(sheet=joint.sheet, number=number)
    found = find(joint.job, "7")
    assert [name.rpartition("/")[2] for name in names(found, "joint")] == ["7", "7A", "70", "710"]
    assert [hit.is_exact for hit in found[0].hits] == [True, False, False, False]


def test_things_of_other_kinds_are_found(joint: Joint, stamp: Stamp) -> None:
    job, sheet = joint.job, SheetBuilder(line=joint.line, drawing="Q/77", number="2")
    SpoolBuilder(line=joint.line, mark="QS-1")
    PieceBuilder(sheet=sheet, mark="Q9")
    HeatBuilder(job=job, number="Q4411")
    found = find(job, "q")
    assert [names(found, kind) for kind in ("sheet", "spool", "piece", "heat")] == [
        ["Q/77/2"], ["QS-1"], ["Q9"], ["Q4411"],
    ]  # fmt: skip
    assert names(find(job, "q/77/2"), "sheet") == ["Q/77/2"]
    assert names(find(job, "lindqvist"), "welder") == names(find(job, "a1"), "welder") == ["A1"]
    assert names(find(job, joint.line.number.lower()), "line") == [joint.line.number]


def test_a_kind_with_an_exact_hit_comes_first(joint: Joint) -> None:
    JointBuilder(sheet=joint.sheet, number="Q44")
    HeatBuilder(job=joint.job, number="Q4")
    assert [group.kind for group in find(joint.job, "q4")] == ["heat", "joint"]


def test_a_report_leads_to_its_joint_until_it_is_withdrawn(joint: Joint, inspector: User) -> None:
    draft = Examination(
        joint=joint, method="VT", result="accepted", done_on=days_ago(0), by="Ines Carrow", report="V-9"
    )
    [examination] = record_examinations([draft], job=joint.job, by=inspector)
    [group] = find(joint.job, "v-9")
    assert (group.kind, group.hits[0].id, group.hits[0].about) == ("report", joint.id, f"VT of joint {full(joint)}")
    gone = Withdrawal(joint=joint, kind="examination", record=examination.id, reason="Another joint")
    withdraw_records([gone], job=joint.job, by=inspector)
    assert find(joint.job, "v-9") == ()


@pytest.mark.parametrize("text", ["%", "_", "\\", "'", "/", "//", "a/b/", "%/%/%"])
def test_marks_that_a_database_reads_otherwise_find_nothing(joint: Joint, text: str) -> None:
    assert names(find(joint.job, text), "joint") == []


def test_the_page_links_groups_and_says_what_can_be_searched(joint: Joint, foreman: User, sign_in: SignIn) -> None:
    client, address = sign_in(foreman), f"/jobs/{joint.job.code}/find/"
    page = client.get(address, {"q": joint.sheet.drawing[:3]}).content.decode()
    assert "Sheets" in page and "<html" in page
    assert "by its number, its alias" in client.get(address).content.decode()
    nothing = client.get(address, {"q": "<b>zz"}).content.decode()
    assert "begins with “&lt;b&gt;zz”" in nothing
    dropped = client.get(address, {"q": joint.number}, headers={"X-Found": "list"}).content.decode()
    assert "<html" not in dropped and full(joint) in dropped


def test_what_names_one_thing_alone_leads_to_it(joint: Joint, foreman: User, sign_in: SignIn) -> None:
    client, address = sign_in(foreman), f"/jobs/{joint.job.code}/find/"
    answer = client.get(address, {"q": full(joint).lower()})
    assert (answer.status_code, answer.headers["Location"]) == (302, f"/jobs/{joint.job.code}/joints/{joint.id}/")
    begun = joint.sheet.line.number[:-1]
    assert client.get(address, {"q": begun}).status_code == 200, (
        "the beginning of a name may be that of another yet to come"
    )


def test_nothing_of_another_job_is_found(joint: Joint, other_job: Job, visitor: User, sign_in: SignIn) -> None:
    assert find(other_job, joint.number) == ()
    assert sign_in(visitor).get(f"/jobs/{joint.job.code}/find/?q=1").status_code == 404


@pytest.mark.django_db
def test_it_is_one_query_that_answers_no_more_at_10_000_joints(job: Job) -> None:
    many_joints(job, 10_000)
    with CaptureQueriesContext(connection) as queries:
        [joints] = find(job, "7")
    assert len(queries) == 1
    assert joints.is_more and len(joints.hits) == MOST and joints.hits[0].is_exact


@pytest.mark.django_db
def test_the_database_narrows_by_the_index_of_names(job: Job) -> None:
    many_joints(job, 1_000)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
        if connection.vendor == "postgresql":
            cursor.execute("SET enable_seqscan = off")
        matching = Joint.objects.filter(job=job, number__istartswith="77")
        assert "joint_named" in matching.explain()
