"""Joints that name no procedure are given one on its page, those alike together."""

from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from joints.actions.give_procedure import give_procedure
from joints.queries.bare_joints import alike, bare_joints
from records.models import Job, Joint, JournalEntry, Procedure, User
from records.refusals import Implausible, NotAllowed
from tests.builders import JobBuilder, JointBuilder, ProcedureBuilder
from tests.conftest import SignIn

pytestmark = pytest.mark.django_db


@pytest.fixture
def bare(joint: Joint) -> list[Joint]:
    """Three alike and one butt weld without a procedure, beside one joint that names its own."""
    same = {"sheet": joint.sheet, "line": joint.line, "procedure": None}
    return [
        *(JointBuilder(number=str(n), **same) for n in (111, 112, 113)),
        JointBuilder(number="114", kind="butt", **same),
    ]


def page_of(procedure: Procedure) -> str:
    return reverse("procedure-joints", args=[procedure.job.code, procedure.id])


def procedure_of(joint: Joint) -> Procedure:
    assert joint.procedure is not None
    return joint.procedure


def named(job: Job) -> dict[str, str]:
    rows = Joint.objects.filter(job=job).values_list("number", "procedure__number")
    return {number: procedure or "" for number, procedure in rows}


def test_joints_alike_stand_together_and_those_that_are_covered_are_chosen(
    job: Job, joint: Joint, bare: list[Joint], engineer: User, sign_in: SignIn
) -> None:
    procedure = procedure_of(joint)
    procedure.joint_kinds = ["socket"]
    procedure.save()
    found = {one.kind: one for one in bare_joints(job, procedure)}
    assert {kind: one.joints for kind, one in found.items()} == {"socket": 3, "butt": 1}
    assert not found["socket"].outside and found["butt"].outside
    page = sign_in(engineer).get(page_of(procedure)).text
    assert "3 joints" in page and "does not cover" in page and page.count(" checked") == 1


def test_they_are_given_it_and_one_that_names_another_keeps_that(
    job: Job, joint: Joint, bare: list[Joint], engineer: User, sign_in: SignIn
) -> None:
    other = ProcedureBuilder(job=job, number="W-99")
    key = next(one.key for one in bare_joints(job, other) if one.kind == "socket")
    before = JournalEntry.objects.filter(job=job).count()
    answer = sign_in(engineer).post(page_of(other), {"joints": [key]}, follow=True)
    assert "3 joints name W-99 now." in answer.text
    own = procedure_of(joint).number
    assert named(job) == {joint.number: own, "111": "W-99", "112": "W-99", "113": "W-99", "114": ""}
    assert JournalEntry.objects.filter(job=job).count() > before
    again = sign_in(engineer).post(page_of(other), {"joints": [key]})
    assert again.status_code == 422 and "These joints have a procedure by now." in again.text


@pytest.mark.parametrize("sent", [[], ["rubbish"], ['["1"]'], ["[1, 2, 3, 4, 5, 6, 7]"], ["{}"], ["null"]])
def test_no_joint_or_no_such_thing_is_refused_in_a_sentence(
    sent: list[str], joint: Joint, bare: list[Joint], engineer: User, sign_in: SignIn
) -> None:
    answer = sign_in(engineer).post(page_of(procedure_of(joint)), {"joints": sent})
    assert answer.status_code == 422 and "No joints were chosen." in answer.text
    assert all(Joint.objects.get(id=one.id).procedure_id is None for one in bare)


def test_where_every_joint_names_one_the_page_says_so(joint: Joint, engineer: User, sign_in: SignIn) -> None:
    assert "Every joint of the job names a procedure." in sign_in(engineer).get(page_of(procedure_of(joint))).text


def test_withdrawn_joints_and_those_of_another_job_are_left_alone(job: Job, joint: Joint, bare: list[Joint]) -> None:
    Joint.objects.filter(id=bare[0].id).update(state="withdrawn")
    JointBuilder(number="111", procedure=None, sheet__job=JobBuilder(code="J-77"))
    assert {one.kind: one.joints for one in bare_joints(job, procedure_of(joint))} == {"socket": 2, "butt": 1}


def test_who_may_not_plan_and_a_procedure_of_another_job(
    job: Job, joint: Joint, bare: list[Joint], engineer: User, welder: User, client: Client
) -> None:
    some = [one for key in bare_joints(job, procedure_of(joint)) if (one := alike(key.key))]
    with pytest.raises(NotAllowed):
        give_procedure(procedure_of(joint), some, job=job, by=welder)
    strange = ProcedureBuilder(job=JobBuilder(code="J-78"))
    with pytest.raises(Implausible, match="another job"):
        give_procedure(strange, some, job=job, by=engineer)
    assert alike(f'["{uuid4()}", "socket", "2", "80", "", "", ""]') is not None
