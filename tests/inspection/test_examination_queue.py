"""What is to examine: which joints and why, in the order of walking, and on from one result to the next."""

import pytest
from django.test import Client

from inspection.queries.examination_queue import (
    PAGE,
    QueueWanted,
    due_by_method,
    examination_queue,
    next_due,
)
from records.models import Examination, Finding, Job, Joint, User
from records.models.base import new_id
from tests.builders import JointBuilder, SpoolBuilder, days_ago
from tests.conftest import SignIn
from tests.many import many_joints


@pytest.fixture
def due_joints(joint: Joint) -> list[Joint]:
    """Three welded joints of one sheet, the last in the field: VT due on all, RT on the second too."""
    others = [JointBuilder(sheet=joint.sheet, number=number, location="field") for number in ("15", "110")]
    found = [joint, *others]
    for one, due in zip(found, ("VT", "VT, RT", "VT"), strict=True):
        Joint.objects.filter(id=one.id).update(state="welded", due=due, next_step="examine VT")
        one.refresh_from_db()
        for method in due.split(", "):
            Finding.objects.create(
                job=one.job, joint=one, attempt="0", code="examination-due", severity="stop", subject=method,
                message=f"{method} of this weld is due: the plan N100 asks for it on every one.", source="exam plan N100",
            )  # fmt: skip
    return found


def full(joint: Joint) -> str:
    return f"{joint.sheet.drawing}/{joint.sheet.number}/{joint.number}"


def numbers(job: Job, **asked: str) -> list[str]:
    return [one.number for group in examination_queue(job, QueueWanted(**asked)).groups for one in group.joints]


def address(joint: Joint) -> str:
    return f"/jobs/{joint.job.code}/to-examine/"


def test_it_says_which_joints_and_why_in_the_order_of_their_numbers(due_joints: list[Joint]) -> None:
    job = due_joints[0].job
    assert numbers(job) == [due_joints[0].number, "15", "110"]
    [group] = examination_queue(job, QueueWanted()).groups
    assert [due.method for due in group.joints[1].dues] == ["VT", "RT"]
    assert group.joints[1].dues[1].why == "RT of this weld is due: the plan N100 asks for it on every one."


def test_it_narrows_by_method_place_line_and_spool(due_joints: list[Joint]) -> None:
    job, line = due_joints[0].job, due_joints[0].line
    Joint.objects.filter(id=due_joints[2].id).update(spool=SpoolBuilder(line=line, mark="Z-9"))
    assert numbers(job, method="RT") == ["15"]
    assert numbers(job, location="field") == ["15", "110"]
    assert numbers(job, line=line.number.lower()) == [due_joints[0].number, "15", "110"]
    assert numbers(job, line="no such") == [] == numbers(job, method="PT")
    assert numbers(job, spool="z-9") == ["110"]
    assert due_by_method(job) == (("VT", 3), ("RT", 1))


def test_it_groups_by_spool_and_by_where_they_are_welded(due_joints: list[Joint]) -> None:
    job = due_joints[0].job
    Joint.objects.filter(id=due_joints[2].id).update(spool=None)
    [without, first, _] = [group.head for group in examination_queue(job, QueueWanted(by="spool")).groups]
    assert without == "Without a spool" and first == f"Spool {due_joints[0].spool}"
    assert [group.head for group in examination_queue(job, QueueWanted(by="location")).groups] == ["Field", "Shop"]


def test_what_comes_next_is_the_rest_of_a_joint_and_then_the_next_joint(due_joints: list[Joint]) -> None:
    first, second, third = due_joints
    job = first.job
    assert next_due(job, first, "VT", QueueWanted()) == (second.id, full(second), "VT")
    assert next_due(job, second, "VT", QueueWanted()) == (second.id, full(second), "RT")
    assert next_due(job, second, "VT", QueueWanted(method="VT")) == (third.id, full(third), "VT")
    assert next_due(job, third, "VT", QueueWanted()) is None


@pytest.mark.parametrize("by", ["line", "spool", "location"])
def test_every_joint_is_met_once_leafing_on_and_back(job: Job, by: str) -> None:
    many_joints(job, 7 * (PAGE + 3))
    wanted = QueueWanted(by=by)
    page, met = examination_queue(job, wanted), []
    while True:
        met += [one.id for group in page.groups for one in group.joints]
        if page.next is None:
            break
        page = examination_queue(job, wanted, after=page.next)
    due = Joint.objects.filter(job=job).exclude(due="")
    assert len(met) == due.count() and set(met) == set(due.values_list("id", flat=True))
    back = examination_queue(job, wanted, before=page.previous)
    assert [one.id for group in back.groups for one in group.joints] == met[:PAGE]


def open_form(client: Client, joint: Joint, query: str) -> str:
    answer = client.get(f"/jobs/{joint.job.code}/joints/{joint.id}/examination/VT/?{query}")
    assert answer.status_code == 200
    return answer.content.decode()


def test_after_a_result_the_next_form_opens(due_joints: list[Joint], inspector: User, sign_in: SignIn) -> None:
    first, second, _ = due_joints
    client = sign_in(inspector)
    page = client.get(f"{address(first)}?method=VT").content.decode()
    form = f"/jobs/{first.job.code}/joints/{first.id}/examination/VT/?queue=1&method=VT"
    assert form.replace("&", "&amp;") in page
    assert f"Then: VT of joint {full(second)}." in open_form(client, first, "queue=1&method=VT")
    assert "Then:" not in open_form(client, first, "")
    data = {"id": str(new_id()), "attempt": "0", "result": "accepted", "date": days_ago(0).isoformat()}
    answer = client.post(form, data | {"by": "Ines Carrow"})
    assert answer.status_code == 303, answer.content.decode()
    assert answer["Location"] == f"/jobs/{first.job.code}/joints/{second.id}/examination/VT/?queue=1&method=VT"
    assert Examination.objects.get().joint_id == first.id
    refused = client.post(form, data | {"id": str(new_id()), "result": ""})
    assert refused.status_code == 422 and Examination.objects.count() == 1


def test_the_last_result_leads_back_to_the_queue(due_joints: list[Joint], inspector: User, sign_in: SignIn) -> None:
    last = due_joints[-1]
    assert "this is the last" in open_form(sign_in(inspector), last, "queue=1&method=VT")
    data = {"id": str(new_id()), "attempt": "0", "result": "accepted", "date": days_ago(0).isoformat()}
    form = f"/jobs/{last.job.code}/joints/{last.id}/examination/VT/?queue=1&method=VT"
    assert sign_in(inspector).post(form, data | {"by": "Ines Carrow"})["Location"] == f"{address(last)}?method=VT"


def test_who_may_not_examine_reads_why_and_finds_no_form(
    due_joints: list[Joint], foreman: User, sign_in: SignIn
) -> None:
    page = sign_in(foreman).get(address(due_joints[0])).content.decode()
    assert "the plan N100 asks for it on every one." in page and "/examination/" not in page


def test_an_empty_queue_says_how_joints_come_here(joint: Joint, inspector: User, sign_in: SignIn) -> None:
    page = sign_in(inspector).get(address(joint)).content.decode()
    assert "once its cap is recorded" in page
    assert "Show all that is to examine" in sign_in(inspector).get(f"{address(joint)}?method=RT").content.decode()
