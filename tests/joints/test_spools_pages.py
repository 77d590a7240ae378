"""The pages of spools and filler lots: told with what is missing and who has what, and recorded on from a phone."""

from decimal import Decimal

import pytest
from django.test import Client

from joints.actions.record_lot_moves import record_lot_moves
from joints.actions.record_piece_events import record_piece_events
from joints.actions.record_spool_steps import record_spool_steps
from records.models import FillerLot, Joint, LotMove, PieceEvent, Spool, SpoolStep, Stamp, User, Withdrawal
from records.models.base import new_id
from tests.builders import PieceBuilder, days_ago
from tests.conftest import SignIn


@pytest.fixture
def spool(joint: Joint) -> Spool:
    """The spool of joint 14, whose piece 3 is on hold."""
    assert joint.spool is not None
    return joint.spool


def url(spool: Spool, more: str = "") -> str:
    return f"/jobs/{spool.job.code}/spools/{spool.id}/{more}"


def shown(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200
    return answer.content.decode()


def sent(**more: str) -> dict[str, str]:
    return {"id": str(new_id()), "date": days_ago(0).isoformat(), "by": "Yard"} | more


def test_the_list_counts_the_joints_and_what_is_out_of_order(spool: Spool, foreman: User, sign_in: SignIn) -> None:
    Joint.objects.filter(spool=spool).update(state="welded")
    record_spool_steps(
        [SpoolStep(spool=spool, step="shipped", done_on=days_ago(1), by="Yard")], job=spool.job, by=foreman
    )
    address = f"/jobs/{spool.job.code}/spools/"
    [row] = sign_in(foreman).get(f"{address}?state=shipped&line={spool.line.number}").context["page"].rows
    # Shipped without a release, and with a joint that nobody accepted.
    assert (row.mark, row.welded, row.accepted, row.joints, row.flags, row.next_step) == (
        spool.mark, 1, 0, 1, 2, "received",
    )  # fmt: skip
    assert "No spool matches." in shown(sign_in(foreman), f"{address}?state=erected")


def test_a_spool_says_what_is_missing_and_offers_the_next_step(
    spool: Spool, joint: Joint, foreman: User, inspector: User, sign_in: SignIn
) -> None:
    piece = PieceBuilder(sheet=joint.sheet, mark="3")
    Joint.objects.filter(id=joint.id).update(piece_a=piece)
    held = PieceEvent(piece=piece, event="on hold", done_on=days_ago(1), by="Store", remark="Paper missing")
    record_piece_events([held], job=spool.job, by=foreman)
    page = sign_in(inspector).get(url(spool)).context
    assert page["page"].missing == (
        "Joint 14 is not accepted yet.", "No dimensional check is recorded.", "Piece 3 is on hold.",
    )  # fmt: skip
    assert page["main"].words == "Record the dimensional check"
    theirs = sign_in(foreman).get(url(spool)).context
    assert theirs["main"] is None and "Release spool" not in [act.words for act in theirs["others"]]


def test_who_may_not_record_the_next_step_reads_whose_it_is(spool: Spool, foreman: User, sign_in: SignIn) -> None:
    assert "Next: dimensional check, by the inspector." in shown(sign_in(foreman), url(spool))


def test_a_step_is_recorded_from_the_form_and_out_of_order_is_told(
    spool: Spool, inspector: User, sign_in: SignIn
) -> None:
    client = sign_in(inspector)
    assert "No dimensional check is recorded." in shown(client, url(spool, "record/?step=released"))
    data = sent(step="released", place="Row B")
    for _ in range(2):
        assert client.post(url(spool, "record/"), data).status_code == 303
    assert SpoolStep.objects.count() == 1
    page = shown(client, url(spool))
    assert "without an accepted dimensional check before it." in page and "Row B" in page


def test_a_check_without_a_result_and_a_release_by_the_foreman_are_refused(
    spool: Spool, foreman: User, inspector: User, sign_in: SignIn
) -> None:
    answer = sign_in(inspector).post(url(spool, "record/"), sent(step="dimensional check"))
    assert answer.status_code == 422 and "Result: this is missing." in answer.content.decode()
    assert sign_in(foreman).post(url(spool, "record/"), sent(step="released")).status_code == 403
    assert not SpoolStep.objects.exists()


def test_a_step_is_withdrawn(spool: Spool, inspector: User, sign_in: SignIn) -> None:
    [step] = record_spool_steps(
        [SpoolStep(spool=spool, step="cleaned", done_on=days_ago(1), by="Yard")], job=spool.job, by=inspector
    )
    away = f"/jobs/{spool.job.code}/spool-steps/{step.id}/withdraw/"
    assert sign_in(inspector).post(away, {"id": str(new_id()), "reason": "Another spool"}).status_code == 303
    assert Withdrawal.objects.get().kind == "spoolstep"
    assert Spool.objects.get(id=spool.id).state == "in fabrication"


def test_the_lots_say_who_has_what_out(
    filler_lot: FillerLot, stamp: Stamp, unqualified_stamp: Stamp, foreman: User, sign_in: SignIn
) -> None:
    def move(who: Stamp, way: str, amount: str) -> LotMove:
        day = days_ago(1)
        return LotMove(lot=filler_lot, stamp=who, move=way, quantity=Decimal(amount), unit="kg", done_on=day)

    # 5 lb is 2.268 kg, 2 lb 0.9072 kg.
    moves = [
        move(stamp, "issued", "2.268"),
        move(stamp, "returned", "0.9072"),
        move(unqualified_stamp, "returned", "1"),
    ]
    record_lot_moves(moves, job=filler_lot.job, by=foreman)
    client, address = sign_in(foreman), f"/jobs/{filler_lot.job.code}/filler-lots/"
    [row] = client.get(address).context["page"].rows
    assert [(one.stamp, one.out, one.is_too_much) for one in row.held] == [
        ("A1", "3 lb", False),
        ("B2", "2.2 lb", True),
    ]
    assert "2.2 lb more back than out" in shown(client, address)
    assert "Issued to A1, Arne Lindqvist" in shown(client, f"{address}{filler_lot.id}/")


def test_filler_is_issued_from_the_form_with_the_own_stamp_filled_in(
    filler_lot: FillerLot, stamp: Stamp, welder: User, sign_in: SignIn
) -> None:
    client, form = sign_in(welder), f"/jobs/{filler_lot.job.code}/filler-lots/{filler_lot.id}/record/"
    assert 'value="A1"' in shown(client, form)
    data = sent(
        move="issued", stamp="A1", quantity="20 rods", oven="Oven 2", date=days_ago(1).isoformat(), time="07:10"
    )
    assert client.post(form, data).status_code == 303
    kept = LotMove.objects.get()
    assert (kept.quantity, kept.unit, kept.oven, kept.typed) == (20, "pieces", "Oven 2", {"quantity": "20 rods"})
    assert client.post(form, data | {"id": str(new_id()), "stamp": "ZZ"}).status_code == 422
    assert client.post(form, data | {"id": str(new_id()), "quantity": "some"}).status_code == 422
    assert LotMove.objects.count() == 1


def test_empty_lists_say_where_things_come_from(joint: Joint, foreman: User, sign_in: SignIn) -> None:
    FillerLot.objects.all().delete()
    page = shown(sign_in(foreman), f"/jobs/{joint.job.code}/filler-lots/")
    assert "they come with the workbook’s sheet Filler lots" in page
