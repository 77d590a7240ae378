"""Which records programs are told of: all that the API has, each by its address there."""

from typing import Any

import pytest

from inspection.api.examining import EXAMINING
from joints.actions.record_lot_moves import record_lot_moves
from joints.actions.withdraw_records import withdraw_records
from joints.actions.withdraw_shop_records import withdraw_shop_records
from joints.api.records import RECORDS as AT_JOINTS
from joints.api.shop import SHOP
from office.calling.sender import send_due
from records.journal import kind_of
from records.models import FillerLot, Joint, LotMove, Stamp, User, Withdrawal
from records.outbox import IN_SHOP, RECORDS
from tests.builders import days_ago
from tests.office.calling.conftest import Made
from tests.office.calling.receiver import Receiver
from tests.office.calling.test_deliveries import record, told

pytestmark = pytest.mark.django_db


def test_whatever_the_api_takes_as_a_record_is_told() -> None:
    taken = {(kind_of(one.model()), one.path) for one in (*AT_JOINTS, *SHOP, *EXAMINING) if one.act}
    assert set(RECORDS.items()) == taken - {("withdrawal", IN_SHOP)}


def the_last(receiver: Receiver) -> dict[str, Any]:
    send_due()
    [last] = told(receiver)[-1]["data"]["records"]
    found: dict[str, Any] = last
    return found


def test_a_withdrawal_is_told_where_the_api_has_it(
    make_webhook: Made, receiver: Receiver, joint: Joint, stamp: Stamp, filler_lot: FillerLot, engineer: User
) -> None:
    make_webhook("records.written")
    by: dict[str, Any] = {"job": joint.job, "by": engineer}
    fit_up = record(joint, engineer, gap_mm=1.5)
    [gone] = withdraw_records([Withdrawal(joint=joint, kind="fitup", record=fit_up.id, reason="Another joint.")], **by)
    one = the_last(receiver)
    assert (one["resource"], one["id"], one["record"]) == ("withdrawals", str(gone.id), str(fit_up.id))
    assert one["joint_id"] == str(joint.id)

    draft = LotMove(lot=filler_lot, move="issued", stamp=stamp, done_on=days_ago(0), by="Store")
    [move] = record_lot_moves([draft], **by)
    [gone] = withdraw_shop_records([Withdrawal(kind="lotmove", record=move.id, reason="Another lot.")], **by)
    one = the_last(receiver)
    assert (one["resource"], one["id"], one["record"]) == ("shop-withdrawals", str(gone.id), str(move.id))
    assert "joint_id" not in one
