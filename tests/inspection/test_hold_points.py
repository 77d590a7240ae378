"""Hold and witness points: who plans and settles them, what keeps a joint from its release, and their pages."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from inspection.actions.override_findings import override_findings
from inspection.actions.record_attendances import record_attendances
from inspection.actions.record_examinations import record_examinations
from inspection.actions.release_joints import release_joints
from inspection.actions.set_hold_points import set_hold_points
from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.record_passes import record_passes
from joints.actions.withdraw_records import withdraw_records
from records.facts import Library, job_facts, joint_facts
from records.models import (
    Attendance,
    Examination,
    ExamPlan,
    ExamRule,
    Finding,
    FitUp,
    HoldPoint,
    Job,
    Joint,
    JournalEntry,
    Override,
    Pass,
    Release,
    Stamp,
    User,
    Withdrawal,
)
from records.models.base import new_id
from records.papers import RecordsOnly
from records.rebuild import differences
from records.refusals import Implausible, NotAllowed, NotReleasable
from rules.case import open_case
from rules.points import standings, told
from tests.access.sized import sized_job
from tests.builders import HoldPointBuilder, JointBuilder, LineBuilder, days_ago
from tests.conftest import SignIn

CODE = "hold-point-open"


@pytest.fixture
def point(job: Job) -> HoldPoint:
    return HoldPointBuilder(job=job, name="4.2")


@pytest.fixture
def fitted(job: Job, joint: Joint, point: HoldPoint, engineer: User) -> Joint:
    record_fit_ups([FitUp(joint=joint, done_on=days_ago(3), by="A1")], job=job, by=engineer)
    joint.refresh_from_db()
    return joint


def weld(job: Job, joint: Joint, stamp: Stamp, by: User) -> None:
    roles = ((1, "root"), (2, "cap"))
    passes = [Pass(joint=joint, order=n, role=r, stamp=stamp, process="GTAW", done_on=days_ago(2)) for n, r in roles]
    record_passes(passes, job=job, by=by)


def accept(job: Job, joint: Joint, by: User) -> None:
    told = {"method": "VT", "result": "accepted", "by": "Ines Carrow", "done_on": days_ago(1)}
    record_examinations([Examination(joint=joint, **told)], job=job, by=by)


def attendance(joint: Joint, point: HoldPoint, result: str = "attended", **more: Any) -> Attendance:
    return Attendance(**{"joint": joint, "point": point, "result": result, "done_on": days_ago(3), "by": "Mira"} | more)


def open_on(joint: Joint) -> list[str]:
    return list(Finding.objects.filter(joint=joint, code=CODE).values_list("severity", flat=True))


def waits(joint: Joint) -> int:
    joint.refresh_from_db()
    return joint.waits


def test_an_attendance_settles_the_point_and_stands_in_the_journal(
    job: Job, fitted: Joint, point: HoldPoint, owner: User
) -> None:
    assert waits(fitted) == 1
    draft = attendance(fitted, point)
    record_attendances([draft], job=job, by=owner)
    record_attendances([attendance(fitted, point, id=draft.id)], job=job, by=owner)
    assert Attendance.objects.count() == 1 and waits(fitted) == 0
    assert JournalEntry.objects.filter(job=job, kind="attendance").count() == 1
    assert not list(differences(job))


def test_only_the_owner_attends_and_the_contractor_tells(
    job: Job, fitted: Joint, point: HoldPoint, inspector: User, welder: User
) -> None:
    for result in ("attended", "waived"):
        with pytest.raises(NotAllowed, match="owner may"):
            record_attendances([attendance(fitted, point, result)], job=job, by=inspector)
    with pytest.raises(NotAllowed):
        record_attendances([attendance(fitted, point, "notified")], job=job, by=welder)
    assert not Attendance.objects.exists()
    record_attendances([attendance(fitted, point, "notified")], job=job, by=inspector)
    assert waits(fitted) == 1


def test_what_cannot_be_is_refused(job: Job, fitted: Joint, point: HoldPoint, owner: User, other_job: Job) -> None:
    for wrong in (
        {"result": "seen"},
        {"by": " "},
        {"done_on": days_ago(-1)},
        {"point": HoldPointBuilder(job=other_job)},
    ):
        with pytest.raises((Implausible, NotAllowed)):
            record_attendances([attendance(fitted, **{"point": point} | wrong)], job=job, by=owner)
    assert not Attendance.objects.exists()


def test_an_open_hold_point_keeps_the_joint_from_its_release(
    job: Job, fitted: Joint, point: HoldPoint, stamp: Stamp, engineer: User, inspector: User, owner: User
) -> None:
    weld(job, fitted, stamp, engineer)
    accept(job, fitted, inspector)
    assert open_on(fitted) == ["correct"]
    signed = {"joint": fitted, "done_on": days_ago(0), "by": "Ines Carrow"}
    with pytest.raises(NotReleasable, match=r"Hold point 4\.2, fit-up"):
        release_joints([Release(**signed)], job=job, by=inspector)
    record_attendances([attendance(fitted, point, "waived", done_on=days_ago(0))], job=job, by=owner)
    assert open_on(fitted) == []
    release_joints([Release(**signed)], job=job, by=inspector)
    fitted.refresh_from_db()
    assert fitted.state == "released"


def test_a_witness_point_is_noted_and_stops_nothing(
    job: Job, joint: Joint, stamp: Stamp, engineer: User, inspector: User
) -> None:
    HoldPointBuilder(job=job, kind="witness")
    record_fit_ups([FitUp(joint=joint, done_on=days_ago(3), by="A1")], job=job, by=engineer)
    weld(job, joint, stamp, engineer)
    accept(job, joint, inspector)
    assert open_on(joint) == ["note"]
    release_joints([Release(joint=joint, done_on=days_ago(0), by="Ines Carrow")], job=job, by=inspector)


def test_nobody_overrides_a_hold_point(job: Job, fitted: Joint, stamp: Stamp, engineer: User, sign_in: SignIn) -> None:
    weld(job, fitted, stamp, engineer)
    draft = Override(joint=fitted, code=CODE, reason="No time", by="QC", done_on=days_ago(0))
    with pytest.raises(Implausible, match="waives it"):
        override_findings([draft], job=job, by=engineer)
    page = sign_in(engineer).get(reverse("joint", args=[job.code, fitted.id])).text
    assert "Hold point 4.2, fit-up: pass 1" in page
    assert f"finding={CODE}" not in page


def test_what_the_owner_recorded_the_owner_takes_back(
    job: Job, fitted: Joint, point: HoldPoint, engineer: User, owner: User, sign_in: SignIn
) -> None:
    [stored] = record_attendances([attendance(fitted, point)], job=job, by=owner)
    gone = {"joint": fitted, "kind": "attendance", "record": stored.id, "reason": "Another joint"}
    with pytest.raises(NotAllowed):
        withdraw_records([Withdrawal(**gone)], job=job, by=engineer)
    address = reverse("attendance-withdraw", args=[job.code, fitted.id, stored.id])
    card = reverse("joint", args=[job.code, fitted.id])
    assert address not in sign_in(engineer).get(card).text
    browser = sign_in(owner)
    assert address in browser.get(card).text
    form = browser.get(address).context["form"]
    sent = {"id": form["id"].value(), "kind": "attendance", "record": stored.id, "reason": "Another joint"}
    assert browser.post(address, sent).status_code == 303
    assert waits(fitted) == 1


def test_what_the_owner_recorded_nobody_else_corrects(
    job: Job, fitted: Joint, point: HoldPoint, engineer: User, owner: User, sign_in: SignIn
) -> None:
    [stored] = record_attendances([attendance(fitted, point)], job=job, by=owner)
    sent = {
        "id": str(new_id()),
        "joint_id": str(fitted.id),
        "date": days_ago(3).isoformat(),
        "point": point.name,
        "result": "notified",
        "by": "Edda Mroz",
        "replaces": str(stored.id),
        "reason": "Another joint",
    }
    answer = sign_in(engineer).post("/api/attendances/", sent, content_type="application/json")
    assert answer.status_code == 403 and "owner may" in answer.json()["detail"]
    assert waits(fitted) == 0
    assert sign_in(owner).post("/api/attendances/", sent, content_type="application/json").status_code == 201
    assert waits(fitted) == 1


def test_whoever_told_the_owner_corrects_it(
    job: Job, fitted: Joint, point: HoldPoint, engineer: User, foreman: User
) -> None:
    [stored] = record_attendances([attendance(fitted, point, "notified")], job=job, by=foreman)
    mended = attendance(fitted, point, "notified", replaces=stored, reason="On the day before")
    record_attendances([mended], job=job, by=engineer)
    assert Attendance.objects.count() == 2


def test_a_pass_is_not_withdrawn_where_attendances_are(job: Job, fitted: Joint, owner: User, sign_in: SignIn) -> None:
    address = reverse("attendance-withdraw", args=[job.code, fitted.id, FitUp.objects.get().id])
    assert sign_in(owner).get(address).status_code == 404


@pytest.mark.parametrize(
    ("narrowed", "expected"),
    [({}, 1), ({"joint_kind": "butt"}, 0), ({"piping_class": "other"}, 0), ({"in_force": False}, 0)],
)
def test_a_point_speaks_of_the_joints_that_it_names(
    job: Job, joint: Joint, engineer: User, narrowed: dict[str, Any], expected: int
) -> None:
    HoldPointBuilder(job=job, **narrowed)
    record_fit_ups([FitUp(joint=joint, done_on=days_ago(3), by="A1")], job=job, by=engineer)
    assert waits(joint) == expected


def test_a_point_of_another_line_says_nothing(job: Job, joint: Joint, engineer: User) -> None:
    HoldPointBuilder(job=job, line=LineBuilder(job=job))
    HoldPointBuilder(job=job, line=joint.line, joint_kind=joint.kind)
    record_fit_ups([FitUp(joint=joint, done_on=days_ago(3), by="A1")], job=job, by=engineer)
    assert waits(joint) == 1


def test_planning_a_point_judges_what_stands(job: Job, joint: Joint, stamp: Stamp, engineer: User) -> None:
    record_fit_ups([FitUp(joint=joint, done_on=days_ago(3), by="A1")], job=job, by=engineer)
    weld(job, joint, stamp, engineer)
    row = HoldPoint(name="4.2", step="fit-up", kind="hold")
    set_hold_points([row], job=job, by=engineer)
    assert open_on(joint) == ["correct"] and waits(joint) == 1
    changed = HoldPoint(id=row.id, name="4.2", step="fit-up", kind="hold", in_force=False)
    with pytest.raises(Implausible, match="Say why"):
        set_hold_points([changed], job=job, by=engineer)
    set_hold_points([changed], job=job, by=engineer, reason="Agreed on 3 May")
    assert open_on(joint) == [] and waits(joint) == 0


@pytest.mark.parametrize("wrong", [{"name": " "}, {"step": "tea"}, {"kind": "stop"}, {"joint_kind": "glue"}])
def test_a_point_that_cannot_be_is_refused(job: Job, engineer: User, wrong: dict[str, str]) -> None:
    sound = {"name": "4.2", "step": "fit-up", "kind": "hold"}
    with pytest.raises(Implausible):
        set_hold_points([HoldPoint(**sound | wrong)], job=job, by=engineer)
    set_hold_points([HoldPoint(**sound)], job=job, by=engineer)
    with pytest.raises(Implausible, match="already"):
        set_hold_points([HoldPoint(**sound)], job=job, by=engineer)


def test_a_point_planned_on_its_page(job: Job, joint: Joint, engineer: User, sign_in: SignIn) -> None:
    browser = sign_in(engineer)
    address = reverse("hold-point-add", args=[job.code])
    form = browser.get(address).context["form"]
    sent = {
        "id": form["id"].value(),
        "name": "6",
        "kind": "witness",
        "step": "VT",
        "line": "nowhere",
        "document": "I-1",
    }
    assert "There is no line nowhere" in browser.post(address, sent).text
    assert browser.post(address, sent | {"line": joint.line.number}).status_code == 303
    made = HoldPoint.objects.get()
    assert (made.name, made.kind, made.step, made.line) == ("6", "witness", "VT", joint.line)
    page = browser.get(reverse("hold-point-plan", args=[job.code])).text
    assert f"line {joint.line.number}" in page and "I-1" in page
    change = reverse("hold-point", args=[job.code, made.id])
    sent |= {"id": made.id, "line": "", "in_force": "no", "reason": "Agreed"}
    assert browser.post(change, sent).status_code == 303
    made.refresh_from_db()
    assert made.line is None and not made.in_force


def posted(browser: Client, address: str, keys: list[str], **more: Any) -> Any:
    form = browser.get(address).context["form"]
    first = {"id": form["id"].value(), "chosen": keys, "by": "Mira Oster", "date": days_ago(3), "result": "attended"}
    return browser.post(reverse("hold-points", args=[form.job.code]), first | more)


def test_the_owner_settles_many_points_from_the_start_page(
    job: Job, fitted: Joint, point: HoldPoint, engineer: User, owner: User, sign_in: SignIn
) -> None:
    other = JointBuilder(sheet=fitted.sheet)
    record_fit_ups([FitUp(joint=other, done_on=days_ago(3), by="A1")], job=job, by=engineer)
    browser = sign_in(owner)
    start = reverse("job", args=[job.code])
    assert "Hold point 4.2, fit-up" in browser.get(start).text
    keys = [f"{one.id.hex}.{point.id.hex}.0" for one in (fitted, other)]
    assert posted(browser, start, keys).status_code == 303
    assert Attendance.objects.filter(result="attended", by="Mira Oster").count() == 2
    assert "No point waits for you" in browser.get(start).text


def test_a_form_without_a_tick_says_so(job: Job, fitted: Joint, owner: User, inspector: User, sign_in: SignIn) -> None:
    waiting = reverse("hold-points", args=[job.code])
    answer = posted(sign_in(owner), waiting, [])
    assert answer.status_code == 422 and "tick at least one" in answer.text
    assert posted(sign_in(owner), waiting, ["x"]).status_code == 422
    page = sign_in(inspector).get(waiting)
    assert [value for value, _ in page.context["form"].fields["result"].choices] == ["notified"]


def test_the_points_of_one_joint_are_told_before_they_are_come_to(
    job: Job, joint: Joint, point: HoldPoint, owner: User, sign_in: SignIn
) -> None:
    browser = sign_in(owner)
    address = reverse("hold-points-of-joint", args=[job.code, joint.id])
    assert "not come to yet" in browser.get(address).text
    record_attendances([attendance(joint, point, done_on=days_ago(4))], job=job, by=owner)
    assert "attended on" in browser.get(address).text
    card = browser.get(reverse("joint", args=[job.code, joint.id])).text
    assert "Hold point 4.2: attended by the owner" in card
    assert "attended or waived by the owner&#x27;s inspector before the first pass" in card


def test_who_may_only_read_gets_no_form(job: Job, fitted: Joint, client_person: User, sign_in: SignIn) -> None:
    page = sign_in(client_person).get(reverse("hold-points", args=[job.code])).text
    assert "Hold point 4.2, fit-up" in page and "Record for the points ticked" not in page


@pytest.mark.django_db
def test_points_stand_the_same_without_the_papers_of_a_joint() -> None:
    job, _ = sized_job(60, done=70)
    plan = ExamPlan.objects.get(job=job)
    ExamRule.objects.create(job=job, plan=plan, joint_kind="all", method="VT", share_percent=100)
    for step in ("root", "VT", "release"):
        HoldPointBuilder(job=job, name=f"of {step}", step=step)
    joints = list(Joint.objects.filter(job=job).values_list("id", flat=True))
    settings = job_facts(job, days_ago(0))
    found = [
        [
            [
                (one.point, one.attempt, one.is_passed, one.waits, told(one))
                for one in standings(open_case(facts, settings))
            ]
            for facts in joint_facts(library, joints).values()
        ]
        for library in (Library(job), RecordsOnly(job))
    ]
    assert found[0] == found[1]
    assert {one[0].step for of_joint in found[0] for one in of_joint} == {"fit-up", "root", "VT", "release"}
