"""Moves of filler lots recorded, and the note on a pass whose lot nobody gave to its welder."""

from decimal import Decimal
from typing import Any

import pytest

from joints.actions.record_lot_moves import record_lot_moves
from joints.actions.record_passes import record_passes
from joints.actions.withdraw_shop_records import withdraw_shop_records
from records.models import FillerLot, Finding, Job, Joint, JournalEntry, LotMove, Pass, Stamp, User, Withdrawal
from records.models.base import new_id
from records.rebuild import differences
from records.refusals import Implausible, NotAllowed
from tests.builders import FillerLotBuilder, JointBuilder, days_ago


def move(lot: FillerLot, stamp: Stamp, kind: str = "issued", **more: Any) -> LotMove:
    said = {"lot": lot, "stamp": stamp, "move": kind, "done_on": days_ago(1), "quantity": Decimal("2.5"), "unit": "kg"}
    return LotMove(**said | more)


@pytest.fixture
def welded(job: Job, joint: Joint, stamp: Stamp, filler_lot: FillerLot, welder: User) -> Joint:
    """Joint 14 with a root from lot F-2209, and joint 15 with one that names no lot."""
    other = JointBuilder(sheet=joint.sheet, number="15")
    for one, lot in ((joint, filler_lot), (other, None)):
        draft = Pass(joint=one, order=1, role="root", stamp=stamp, process="GTAW", done_on=days_ago(1), filler_lot=lot)
        record_passes([draft], job=job, by=welder)
    return joint


def noted(job: Job) -> set[str]:
    return set(Finding.objects.filter(job=job, code="lot-not-issued").values_list("joint__number", flat=True))


def test_records_a_move_once(job: Job, filler_lot: FillerLot, stamp: Stamp, welder: User) -> None:
    key = new_id()
    for _ in range(2):
        record_lot_moves([move(filler_lot, stamp, id=key, oven="Oven 1")], job=job, by=welder)
    assert LotMove.objects.count() == JournalEntry.objects.filter(kind="lotmove").count() == 1


def test_a_job_without_issue_records_has_no_note(job: Job, welded: Joint) -> None:
    assert noted(job) == set()


def test_the_first_issue_of_the_job_judges_every_pass_that_names_a_lot(
    job: Job, welded: Joint, stamp: Stamp, unqualified_stamp: Stamp, filler_lot: FillerLot, foreman: User
) -> None:
    [first] = record_lot_moves([move(filler_lot, unqualified_stamp)], job=job, by=foreman)
    assert noted(job) == {"14"}
    assert Finding.objects.get(code="lot-not-issued").severity == "note"
    record_lot_moves([move(filler_lot, stamp)], job=job, by=foreman)
    assert noted(job) == set()
    assert list(differences(job)) == []


def test_an_issue_after_the_pass_and_one_of_another_lot_do_not_help(
    job: Job, welded: Joint, stamp: Stamp, filler_lot: FillerLot, foreman: User
) -> None:
    record_lot_moves([move(FillerLotBuilder(job=job), stamp)], job=job, by=foreman)
    record_lot_moves([move(filler_lot, stamp, done_on=days_ago(0))], job=job, by=foreman)
    assert noted(job) == {"14"}


def test_without_its_last_issue_the_job_has_no_notes_again(
    job: Job, welded: Joint, unqualified_stamp: Stamp, filler_lot: FillerLot, foreman: User
) -> None:
    [only] = record_lot_moves([move(filler_lot, unqualified_stamp)], job=job, by=foreman)
    away = Withdrawal(kind="lotmove", record=only.id, reason="Another lot")
    withdraw_shop_records([away], job=job, by=foreman)
    assert noted(job) == set()
    assert list(differences(job)) == []


def test_a_correction_judges_the_lot_it_came_from_too(
    job: Job, welded: Joint, stamp: Stamp, filler_lot: FillerLot, foreman: User
) -> None:
    [right] = record_lot_moves([move(filler_lot, stamp)], job=job, by=foreman)
    later = move(filler_lot, stamp, done_on=days_ago(0), replaces_id=right.id, reason="A day later")
    record_lot_moves([later], job=job, by=foreman)
    assert noted(job) == {"14"}
    assert list(differences(job)) == []


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"kind": "lent"}, "no move of filler"),
        ({"quantity": Decimal(-1)}, "can't be"),
        ({"unit": ""}, "needs its unit"),
        ({"quantity": Decimal("2.5"), "unit": "pieces"}, "part of a piece"),
        ({"unit": "stone"}, "no unit of filler"),
    ],
)
def test_refuses_what_cant_be(
    job: Job, filler_lot: FillerLot, stamp: Stamp, welder: User, more: dict[str, Any], says: str
) -> None:
    with pytest.raises(Implausible, match=says):
        record_lot_moves([move(filler_lot, stamp, **more)], job=job, by=welder)
    assert not LotMove.objects.exists()


def test_refuses_somebody_without_the_right(job: Job, filler_lot: FillerLot, stamp: Stamp, owner: User) -> None:
    with pytest.raises(NotAllowed):
        record_lot_moves([move(filler_lot, stamp)], job=job, by=owner)
    assert not LotMove.objects.exists()
