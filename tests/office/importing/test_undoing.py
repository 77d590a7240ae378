"""Taking an import back: a batch of withdrawals with a reason, refused once something rests on what it wrote."""

import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from inspection.actions.record_examinations import record_examinations
from joints.actions.record_passes import record_passes
from joints.actions.withdraw_records import withdraw_records
from records.models import (
    Attendance,
    Examination,
    FitUp,
    Heat,
    Job,
    Joint,
    JournalEntry,
    LotMove,
    Pass,
    Pick,
    PieceEvent,
    Release,
    SpoolStep,
    Stamp,
    User,
    Withdrawal,
    Work,
)
from records.models.base import new_id
from records.rebuild import differences
from records.verify import first_bad
from tests.office.importing.pages import applied, do, page_of, sent
from tests.office.workbooks import as_xlsx, clean_sheets, small_workbook, workbook_with_shop

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("storage")]

WHY = "It was the list of another rack"


def undo_page(work: Work) -> str:
    """Where an import is taken back."""
    return reverse("import-undo", args=[work.job.code, work.id])


def taken_back(desk: Client, work: Work, reason: str = WHY) -> Work:
    """Take an import back by its page, and return the row, done."""
    answer = desk.post(undo_page(work), {"reason": reason})
    assert answer.status_code == 302, answer.content.decode()
    return do(Work.objects.get(id=answer["Location"].rstrip("/").rpartition("/")[2]))


def standing(model: Any) -> int:
    """How many records of a model count."""
    gone = Withdrawal.objects.values("record")
    return int(model.objects.filter(replaced_by__isnull=True).exclude(id__in=gone).count())


@pytest.fixture
def written(desk: Client, small_job: Job) -> Work:
    """The clean workbook's records, imported."""
    return applied(desk, sent(desk, small_job, small_workbook()), reason="")


def test_the_page_tells_what_is_withdrawn_and_what_stays(desk: Client, written: Work) -> None:
    shown = desk.get(undo_page(written)).content.decode()
    sheets = clean_sheets()
    for words, sheet in (("Fit-ups", "Fit-ups"), ("Passes", "Passes"), ("Releases", "Releases")):
        assert f'<tr><th scope="row">{words}</th><td class="number">{len(sheets[sheet]) - 1}</td></tr>' in shown
    assert "Take it back" in desk.get(page_of(written)).content.decode()


def test_every_record_is_withdrawn_with_the_reason_and_the_joints_stand_as_before(
    desk: Client, small_job: Job, written: Work
) -> None:
    assert Joint.objects.filter(job=small_job).exclude(state="planned").exists()
    records = sum(model.objects.count() for model in (FitUp, Pass, Examination, Release))
    undone = taken_back(desk, written)
    assert undone.state == "done"
    assert [standing(model) for model in (FitUp, Pass, Examination, Release)] == [0, 0, 0, 0]
    assert sum(model.objects.count() for model in (FitUp, Pass, Examination, Release)) == records
    assert not Joint.objects.filter(job=small_job).exclude(state="planned").exists()
    assert set(Withdrawal.objects.values_list("reason", flat=True)) == {f"import small.xlsx taken back: {WHY}"}
    assert first_bad(small_job) is None
    shown = desk.get(page_of(undone)).content.decode()
    assert "its records are withdrawn" in shown and undone.result["head"] in shown
    assert "was taken back" in desk.get(page_of(written)).content.decode()
    listed = desk.get(reverse("imports", args=[small_job.code])).content.decode()
    assert re.findall(r"<b>([\w ]+)</b></li>", listed) == ["done", "taken back", "done"]


def test_taken_back_twice_is_taken_back_once(desk: Client, written: Work) -> None:
    first = taken_back(desk, written)
    entries = JournalEntry.objects.count()
    again = desk.post(undo_page(written), {"reason": WHY})
    assert again["Location"] == page_of(first)
    Work.objects.filter(id=first.id).update(state="queued")
    assert do(Work.objects.get(id=first.id)).result == first.result and JournalEntry.objects.count() == entries


def test_it_needs_a_reason(desk: Client, written: Work) -> None:
    answer = desk.post(undo_page(written), {"reason": "  "})
    assert answer.status_code == 422 and "needs its reason" in answer.content.decode()
    assert not Withdrawal.objects.exists()


def test_what_was_built_on_it_blocks_in_a_sentence_until_it_is_withdrawn(
    desk: Client, small_job: Job, written: Work, planner: User
) -> None:
    joint = Joint.objects.get(job=small_job, number="1")
    later = Examination(id=new_id(), joint=joint, method="VT", result="accepted", by="Examiner One")
    later.done_on = timezone.localdate()
    record_examinations([later], job=small_job, by=planner)
    shown = desk.get(undo_page(written)).content.decode()
    assert "1 joint has records made since the import" in shown and "ISO-1/1/1" in shown
    assert "Take the import back" not in shown
    refused = desk.post(undo_page(written), {"reason": WHY})
    assert refused.status_code == 422 and not Withdrawal.objects.exists()
    draft = Withdrawal(id=new_id(), joint=joint, kind="examination", record=later.id, reason="Wrong joint")
    withdraw_records([draft], job=small_job, by=planner)
    assert taken_back(desk, written).state == "done"


def test_a_record_on_a_joint_that_the_import_left_alone_blocks_nothing(
    desk: Client, small_job: Job, written: Work, planner: User
) -> None:
    spare = Joint.objects.get(job=small_job, number="6")
    stamp = Stamp.objects.get(job=small_job, code="A1")
    later = Pass(id=new_id(), joint=spare, order=1, role="root", stamp=stamp, process="GTAW")
    later.done_on = timezone.localdate()
    record_passes([later], job=small_job, by=planner)
    taken_back(desk, written)
    assert standing(Pass) == 1


def test_new_joints_are_withdrawn_and_other_rows_of_the_plan_stay_and_are_told(desk: Client, small_job: Job) -> None:
    joints, heats = clean_sheets()["Joints"], clean_sheets()["Heats"]
    new = ["ISO-1", "1", "77", *joints[1][3:]]
    heat = ["H-77", *heats[1][1:]]
    work = applied(desk, sent(desk, small_job, as_xlsx({"Joints": [joints[0], new], "Heats": [heats[0], heat]})), "")
    shown = desk.get(undo_page(work)).content.decode()
    assert "Rows of the plan are not withdrawn" in shown and "Heats" in shown
    taken_back(desk, work)
    assert Joint.objects.get(job=small_job, number="77").state == "withdrawn"
    assert Heat.objects.filter(job=small_job, number="H-77").exists()


def test_what_goes_on_to_count_says_so(desk: Client, small_job: Job) -> None:
    entry = as_xlsx({"Continuity": [["stamp", "process", "date"], ["A1", "GTAW", "2026-09-20"]]})
    shown = desk.get(undo_page(applied(desk, sent(desk, small_job, entry), ""))).content.decode()
    assert "keeps a qualification alive" in shown and "Take the import back" not in shown


def test_records_of_the_shop_are_withdrawn_too(desk: Client, small_job: Job) -> None:
    work = applied(desk, sent(desk, small_job, workbook_with_shop()))
    assert standing(PieceEvent) and standing(LotMove)
    taken_back(desk, work)
    assert [standing(model) for model in (PieceEvent, SpoolStep, LotMove)] == [0, 0, 0]


def test_what_is_stored_equals_what_is_derived_afterwards(desk: Client, small_job: Job, written: Work) -> None:
    taken_back(desk, written)
    assert not list(differences(small_job))


def test_joints_taken_back_are_not_brought_back_by_the_same_list_and_it_says_so(desk: Client, small_job: Job) -> None:
    heads = ["drawing", "sheet", "joint", "kind", "location", "NPS", "schedule"]
    content = as_xlsx({"Joints": [heads, ["ISO-1", "1", "30", "SW", "S", "2", "80"]]})
    written = applied(desk, sent(desk, small_job, content), reason="")
    assert "is not given again on its sheet" in desk.get(undo_page(written)).content.decode()
    taken_back(desk, written)
    again = desk.get(page_of(sent(desk, small_job, content))).content.decode()
    assert "1 joint of it is withdrawn and not brought back" in again and "ISO-1/1/30" in again


def test_picks_and_attendances_are_taken_back_too(desk: Client, small_job: Job) -> None:
    joint = ["ISO-1", "1", "1"]
    content = as_xlsx({
        "Picks": [["drawing", "sheet", "joint", "method", "date", "by", "how"],
                  [*joint, "RT", "2026-01-05", "Examiner One", "by hand"]],
        "Hold points": [["point", "step", "kind"], ["4.2", "release", "hold"]],
        "Attendances": [["drawing", "sheet", "joint", "point", "result", "date", "by"],
                        [*joint, "4.2", "waived", "2026-01-06", "Owner One"]],
    })  # fmt: skip
    check = sent(desk, small_job, content)
    assert not check.result["faults"], desk.get(page_of(check)).content.decode()
    written = applied(desk, check, reason="")
    assert (standing(Pick), standing(Attendance)) == (1, 1)
    taken_back(desk, written)
    assert (standing(Pick), standing(Attendance)) == (0, 0)
