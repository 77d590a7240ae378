"""Events of pieces recorded: once, flagged and never refused, and judged on the joints that hold the piece."""

from typing import Any

import pytest

from inspection.actions.override_findings import override_findings
from joints.actions.cut_piece import cut_piece
from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.record_piece_events import record_piece_events
from joints.actions.withdraw_shop_records import withdraw_shop_records
from records.models import Finding, FitUp, Job, Joint, JournalEntry, Override, Piece, PieceEvent, User, Withdrawal
from records.models.base import new_id
from records.rebuild import differences
from records.refusals import Implausible, NotAllowed, RecordClash
from tests.builders import JointBuilder, PieceBuilder, SheetBuilder, days_ago

CODES = ("piece-on-hold", "piece-scrapped", "mark-not-transferred")


@pytest.fixture
def piece(joint: Joint) -> Piece:
    """Piece 3, side A of the fitted joint 14 and of the planned joint 15."""
    piece = PieceBuilder(sheet=joint.sheet, mark="3", heat=joint.heat_a)
    Joint.objects.filter(id=joint.id).update(piece_a=piece)
    JointBuilder(sheet=joint.sheet, number="15", piece_b=piece)
    return piece


@pytest.fixture
def fitted(piece: Piece, joint: Joint, foreman: User) -> Joint:
    record_fit_ups([FitUp(joint=joint, done_on=days_ago(2), by="A1")], job=joint.job, by=foreman)
    return joint


def event(piece: Piece, kind: str, **more: Any) -> PieceEvent:
    return PieceEvent(**{"piece": piece, "event": kind, "done_on": days_ago(1), "by": "Store"} | more)


def found(job: Job) -> set[tuple[str, str]]:
    return set(Finding.objects.filter(job=job, code__in=CODES).values_list("joint__number", "code"))


def test_records_an_event_once_and_derives_the_piece(job: Job, piece: Piece, welder: User) -> None:
    key = new_id()
    for _ in range(2):
        [stored] = record_piece_events([event(piece, "received", id=key, place="Rack 2")], job=job, by=welder)
        assert (stored.id, stored.recorded_by) == (key, welder)
    assert PieceEvent.objects.count() == JournalEntry.objects.filter(kind="pieceevent").count() == 1
    piece.refresh_from_db()
    assert (piece.state, piece.place, piece.last_on) == ("in stock", "Rack 2", days_ago(1))
    assert list(differences(job)) == []


@pytest.mark.parametrize(("kind", "code"), [("on hold", "piece-on-hold"), ("scrapped", "piece-scrapped")])
def test_the_fitted_joint_is_flagged_and_the_planned_one_is_not(
    job: Job, piece: Piece, fitted: Joint, foreman: User, kind: str, code: str
) -> None:
    record_piece_events([event(piece, kind)], job=job, by=foreman)
    assert found(job) == {("14", code)}
    assert Finding.objects.get(code=code).severity == "correct"
    assert list(differences(job)) == []


def test_a_fit_up_after_the_hold_is_recorded_and_flagged(job: Job, piece: Piece, joint: Joint, foreman: User) -> None:
    record_piece_events([event(piece, "on hold")], job=job, by=foreman)
    record_fit_ups([FitUp(joint=joint, done_on=days_ago(0), by="A1")], job=job, by=foreman)
    assert found(job) == {("14", "piece-on-hold")}


def test_lifting_the_hold_takes_the_finding_away_and_only_some_may(
    job: Job, piece: Piece, fitted: Joint, foreman: User, inspector: User
) -> None:
    [hold] = record_piece_events([event(piece, "on hold")], job=job, by=foreman)
    with pytest.raises(NotAllowed):
        record_piece_events([event(piece, "off hold")], job=job, by=foreman)
    slip = event(piece, "received", replaces_id=hold.id, reason="Not held at all")
    with pytest.raises(NotAllowed):
        record_piece_events([slip], job=job, by=foreman)
    away = Withdrawal(kind="pieceevent", record=hold.id, reason="Wrong piece")
    with pytest.raises(NotAllowed):
        withdraw_shop_records([away], job=job, by=foreman)
    assert PieceEvent.objects.count() == 1 and found(job) == {("14", "piece-on-hold")}
    record_piece_events([event(piece, "off hold")], job=job, by=inspector)
    assert found(job) == set()


def test_an_override_covers_the_hold_it_speaks_of_and_not_the_next(
    job: Job, piece: Piece, fitted: Joint, inspector: User
) -> None:
    record_piece_events([event(piece, "on hold")], job=job, by=inspector)
    override_findings(
        [Override(joint=fitted, code="piece-on-hold", done_on=days_ago(0), by="QC", reason="Paper is on its way")],
        job=job,
        by=inspector,
    )
    assert Finding.objects.get(code="piece-on-hold").override is not None
    record_piece_events([event(piece, "off hold"), event(piece, "on hold", done_on=days_ago(0))], job=job, by=inspector)
    assert Finding.objects.get(code="piece-on-hold").override is None


def test_a_cut_makes_its_parts_once_and_the_heat_goes_with_them(job: Job, piece: Piece, welder: User) -> None:
    known = PieceBuilder(sheet=piece.sheet, mark="4", heat=None)
    draft = event(piece, "cut", id=new_id(), mark_transferred=True, mark_by="A1")
    for _ in range(2):
        cut_piece(draft, ["4", "3X"], job=job, by=welder)
    assert set(PieceEvent.objects.values_list("part__mark", "mark_transferred")) == {("4", True), ("3X", True)}
    made = Piece.objects.get(sheet=piece.sheet, mark="3X")
    assert (made.heat, made.nps, made.state) == (piece.heat, piece.nps, "cut to size")
    assert Piece.objects.get(id=piece.id).state == "cut up"
    assert Piece.objects.get(id=known.id).heat is None, "what the plan says of a piece is not changed by a cut"
    assert JournalEntry.objects.filter(kind="piece", subject=made.id.hex, reason="cut from piece 3").count() == 1


def test_a_part_without_its_mark_is_flagged_until_the_record_is_corrected(
    job: Job, piece: Piece, fitted: Joint, foreman: User
) -> None:
    whole = PieceBuilder(sheet=piece.sheet, mark="P")
    [cut] = cut_piece(event(whole, "cut", mark_transferred=False), ["3"], job=job, by=foreman)
    assert found(job) == {("14", "mark-not-transferred")}
    mended = event(whole, "cut", part=piece, mark_transferred=True, replaces_id=cut.id, reason="Stamped since")
    record_piece_events([mended], job=job, by=foreman)
    assert found(job) == set()
    assert list(differences(job)) == []


def test_a_withdrawn_event_counts_no_more(job: Job, piece: Piece, fitted: Joint, inspector: User) -> None:
    [scrap] = record_piece_events([event(piece, "scrapped")], job=job, by=inspector)
    key = new_id()
    for _ in range(2):
        away = Withdrawal(id=key, kind="pieceevent", record=scrap.id, reason="Another piece")
        withdraw_shop_records([away], job=job, by=inspector)
    assert found(job) == set()
    assert Piece.objects.get(id=piece.id).state == "planned"
    again = Withdrawal(kind="pieceevent", record=scrap.id, reason="Once more")
    with pytest.raises(RecordClash):
        withdraw_shop_records([again], job=job, by=inspector)
    with pytest.raises(RecordClash):
        slip = event(piece, "issued", replaces_id=scrap.id, reason="Late")
        record_piece_events([slip], job=job, by=inspector)
    assert list(differences(job)) == []


@pytest.mark.parametrize(
    ("draft", "says"),
    [
        ({"kind": "melted"}, "no event of a piece"),
        ({"kind": "cut", "done_on": days_ago(-1)}, "in the future"),
        ({"kind": "cut", "length_mm": 0}, "This length can't be"),
        ({"kind": "received", "replaces_id": new_id()}, "needs its reason"),
    ],
)
def test_refuses_what_cant_be_and_changes_nothing(job: Job, piece: Piece, welder: User, draft: Any, says: str) -> None:
    with pytest.raises(Implausible, match=says):
        record_piece_events([event(piece, draft["kind"], **{k: v for k, v in draft.items() if k != "kind"})],
                            job=job, by=welder)  # fmt: skip
    assert not PieceEvent.objects.exists()


def test_refuses_a_cut_from_itself_and_one_without_parts(job: Job, piece: Piece, welder: User) -> None:
    for marks in ([], ["3"], ["x" * 41]):
        with pytest.raises(Implausible):
            cut_piece(event(piece, "cut"), marks, job=job, by=welder)
    assert Piece.objects.count() == 1


def test_refuses_a_piece_of_another_job_and_somebody_without_the_right(
    job: Job, piece: Piece, welder: User, client_person: User
) -> None:
    foreign = PieceBuilder(sheet=SheetBuilder())
    with pytest.raises(Implausible):
        record_piece_events([event(foreign, "received")], job=job, by=welder)
    for act in (
        lambda: record_piece_events([event(piece, "received")], job=job, by=client_person),
        lambda: cut_piece(event(piece, "cut"), ["9"], job=job, by=client_person),
    ):
        with pytest.raises(NotAllowed):
            act()
    assert not PieceEvent.objects.exists()


def test_exactly_the_joints_of_the_piece_are_judged_again(job: Job, piece: Piece, fitted: Joint, foreman: User) -> None:
    other = JointBuilder(sheet=fitted.sheet, number="16")
    Joint.objects.filter(job=job).update(next_step="untouched")
    record_piece_events([event(piece, "on hold")], job=job, by=foreman)
    left = set(Joint.objects.filter(next_step="untouched").values_list("number", flat=True))
    assert left == {other.number}
