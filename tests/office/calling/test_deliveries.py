"""From a record to a receiver: what is told, once each, signed, tried again, given up, and lost by nobody's death."""

import json
import socket
from datetime import timedelta
from decimal import Decimal
from ipaddress import ip_address
from pathlib import Path
from typing import Any

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inspection.actions.override_findings import override_findings
from inspection.actions.record_examinations import record_examinations
from inspection.actions.release_joints import release_joints
from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.record_passes import record_passes
from joints.actions.withdraw_records import withdraw_records
from office.actions.add_webhook import add_webhook
from office.actions.end_webhook import end_webhook
from office.actions.rotate_secret import rotate_secret
from office.actions.send_again import send_again
from office.calling.deliveries import LOST_KEY, WAITS, call, forget, settle, take
from office.calling.sender import Sender, send_due
from records.batch import together
from records.models import (
    Examination,
    Finding,
    FitUp,
    Job,
    Joint,
    Override,
    Pass,
    Release,
    Stamp,
    User,
    Webhook,
    WebhookAttempt,
    WebhookDelivery,
    WebhookEvent,
    Withdrawal,
)
from records.models.base import new_id
from records.refusals import Implausible
from tests.builders import MembershipBuilder, UserBuilder, days_ago
from tests.office.calling.conftest import Made
from tests.office.calling.receiver import Receiver, receiving
from tests.office.calling.test_signing import by_hand

ROOT = Path(__file__).resolve().parents[3]
TODAY = days_ago(0)


def fit_up(joint: Joint, **own: Any) -> FitUp:
    return FitUp(job=joint.job, joint=joint, done_on=TODAY, by="A1", **own)


def record(joint: Joint, by: User, **own: Any) -> FitUp:
    [stored] = record_fit_ups([fit_up(joint, **own)], job=joint.job, by=by)
    return stored


def told(receiver: Receiver) -> list[dict[str, Any]]:
    """The bodies that came, in the order of what happened."""
    return sorted((json.loads(body) for _, _, body in receiver.got), key=lambda one: one["id"])


def due_now() -> None:
    """As after the wait."""
    WebhookDelivery.objects.filter(state="waiting").update(next_at=timezone.now())
    Webhook.objects.update(quiet_until=None)


@pytest.mark.django_db
def test_a_record_is_told_once_and_signed(make_webhook: Made, receiver: Receiver, joint: Joint, engineer: User) -> None:
    webhook, secret = make_webhook("records.written")
    stored = record(joint, engineer, gap_mm=1.5)
    send_due()
    send_due()
    [(_, heads, body)] = receiver.got
    said = json.loads(body)
    assert heads["webhook-signature"] == by_hand(secret, heads["webhook-id"], heads["webhook-timestamp"], body)
    assert heads["webhook-id"] == said["id"]
    assert abs(int(heads["webhook-timestamp"]) - timezone.now().timestamp()) < 60
    assert (said["type"], said["job"]) == ("records.written", "HW-7")
    [one] = said["data"]["records"]
    assert one == {
        "resource": "fit-ups", "id": str(stored.id), "journal_number": one["journal_number"],
        "joint_id": str(joint.id), "attempt": "0", "date": TODAY.isoformat(),
    }  # fmt: skip
    [attempt] = WebhookAttempt.objects.all()
    assert (attempt.status, attempt.error, attempt.delivery.state) == (204, "", "delivered")
    assert attempt.delivery.webhook == webhook


@pytest.mark.django_db
def test_the_same_record_sent_again_is_told_no_more(
    make_webhook: Made, receiver: Receiver, joint: Joint, engineer: User
) -> None:
    make_webhook("records.written")
    key = new_id()
    for _ in range(2):
        assert record(joint, engineer, id=key, gap_mm=Decimal("1.5")).id == key
    assert WebhookEvent.objects.count() == 1


@pytest.mark.django_db
def test_what_is_refused_or_rolled_back_is_told_to_nobody(make_webhook: Made, joint: Joint, engineer: User) -> None:
    make_webhook()
    with pytest.raises(Implausible):
        record(joint, engineer, gap_mm=-1)
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        record(joint, engineer, gap_mm=1.5)
        assert WebhookEvent.objects.exists()
        raise ZeroDivisionError
    assert not WebhookEvent.objects.exists() and not FitUp.objects.exists()


@pytest.mark.django_db
def test_findings_are_told_when_they_come_and_when_they_go(
    make_webhook: Made, receiver: Receiver, joint: Joint, engineer: User, stamp: Stamp
) -> None:
    make_webhook("findings.opened", "findings.closed")
    root = Pass(job=joint.job, joint=joint, done_on=TODAY, order=1, role="root", stamp=stamp, process="GTAW", by="A1")
    record_passes([root], job=joint.job, by=engineer)
    send_due()
    [opened] = told(receiver)
    assert opened["type"] == "findings.opened"
    missing = [one for one in opened["data"]["findings"] if one["code"] == "fit-up-missing"]
    assert [(one["joint_id"], one["attempt"], one["severity"]) for one in missing] == [(str(joint.id), "0", "correct")]
    assert missing[0]["joint"] == f"{joint.sheet.drawing}/{joint.sheet.number}/{joint.number}"
    assert missing[0]["message"]
    # All that are open, and no notes.
    stored = set(Finding.objects.exclude(severity="note").values_list("code", flat=True))
    assert {one["code"] for one in opened["data"]["findings"]} == stored

    receiver.got.clear()
    record(joint, engineer, gap_mm=1.5)
    send_due()
    closed = [one for one in told(receiver) if one["type"] == "findings.closed"]
    assert "fit-up-missing" in {one["code"] for event in closed for one in event["data"]["findings"]}
    # What stood before and stands now is neither.
    again = {one["code"] for event in told(receiver) for one in event["data"]["findings"]} & stored
    assert again == {"fit-up-missing"}


@pytest.mark.django_db
def test_an_override_closes_a_finding_and_its_withdrawal_opens_it(
    make_webhook: Made, receiver: Receiver, joint: Joint, engineer: User
) -> None:
    record(joint, engineer, gap_mm=9)
    assert Finding.objects.filter(code="gap-out-of-range").exists()
    make_webhook("findings.opened", "findings.closed")
    on = Override(job=joint.job, joint=joint, done_on=TODAY, code="gap-out-of-range", reason="Agreed.", by="Edda Mroz")
    [override] = override_findings([on], job=joint.job, by=engineer)
    withdraw_records(
        [Withdrawal(job=joint.job, joint=joint, kind="override", record=override.id, reason="Not agreed.")],
        job=joint.job, by=engineer,
    )  # fmt: skip
    send_due()
    said = [(one["type"], [each["code"] for each in one["data"]["findings"]]) for one in told(receiver)]
    assert said == [("findings.closed", ["gap-out-of-range"]), ("findings.opened", ["gap-out-of-range"])]


@pytest.mark.django_db
def test_a_release_is_told(
    make_webhook: Made, receiver: Receiver, joint: Joint, engineer: User, inspector: User, stamp: Stamp, filler_lot: Any
) -> None:
    record(joint, engineer, gap_mm=Decimal("1.5875"))
    drafts = [
        Pass(job=joint.job, joint=joint, done_on=TODAY, order=order, role=role, stamp=stamp, process="GTAW", by="A1",
             filler_lot=filler_lot, procedure=joint.procedure)
        for order, role in ((1, "root"), (2, "cap"))
    ]  # fmt: skip
    record_passes(drafts, job=joint.job, by=engineer)
    seen = Examination(
        job=joint.job, joint=joint, done_on=TODAY, method="VT", result="accepted", by="Ines Carrow", leg_a_mm=Decimal(6),
        leg_b_mm=Decimal(6),
    )  # fmt: skip
    record_examinations([seen], job=joint.job, by=inspector)
    make_webhook("joints.released")
    [release] = release_joints(
        [Release(job=joint.job, joint=joint, done_on=TODAY, by="Ines Carrow")], job=joint.job, by=inspector
    )
    send_due()
    [one] = told(receiver)
    assert one["type"] == "joints.released"
    assert one["data"]["joints"] == [{"joint_id": str(joint.id), "attempt": "0", "release": str(release.id)}]


@pytest.mark.django_db
def test_many_records_at_once_are_told_five_hundred_at_a_time(
    make_webhook: Made, receiver: Receiver, joint: Joint, engineer: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("records.outbox.MOST_IN_ONE", 3)
    make_webhook("records.written")
    with together(joint.job):
        stored = [record(joint, engineer, gap_mm=place) for place in range(1, 8)]
    send_due()
    events = told(receiver)
    assert [len(one["data"]["records"]) for one in events] == [3, 3, 1]
    ids = [each["id"] for one in events for each in one["data"]["records"]]
    assert ids == [str(one.id) for one in stored]
    numbers = [each["journal_number"] for one in events for each in one["data"]["records"]]
    assert numbers == list(range(numbers[0], numbers[0] + 7))


@pytest.mark.django_db
def test_each_hears_its_own_kinds_of_its_own_job(
    make_webhook: Made, receiver: Receiver, joint: Joint, engineer: User, other_job: Job
) -> None:
    stranger = UserBuilder()
    MembershipBuilder(job=other_job, user=stranger, role="engineer")
    add_webhook(new_id(), receiver.url, ["records.written"], job=other_job, by=stranger)
    make_webhook("packages.built", "joints.released")
    ended, _ = make_webhook("records.written")
    end_webhook(ended.id, job=joint.job, by=engineer)
    record(joint, engineer, gap_mm=1.5)
    assert not WebhookEvent.objects.exists()


@pytest.mark.django_db
def test_telling_costs_two_queries_however_many_records_there_are(
    joint: Joint, engineer: User, make_webhook: Made
) -> None:
    def cost(count: int) -> int:
        with CaptureQueriesContext(connection) as queries:
            record_fit_ups([fit_up(joint, gap_mm=n + 1) for n in range(count)], job=joint.job, by=engineer)
        return len(queries)

    unheard = cost(40)
    make_webhook("records.written")
    assert cost(40) == unheard + 2


@pytest.mark.django_db
def test_a_failure_is_tried_again_after_growing_waits_and_then_given_up(
    make_webhook: Made, receiver: Receiver, joint: Joint, engineer: User
) -> None:
    webhook, secret = make_webhook("records.written")
    receiver.status = 500
    record(joint, engineer, gap_mm=1.5)
    waits = []
    for _ in range(len(WAITS)):
        before = timezone.now()
        send_due()
        delivery = WebhookDelivery.objects.get()
        assert delivery.state == "waiting"
        waits.append(delivery.next_at - before)
        # Not due yet: nothing is sent.
        seen = len(receiver.got)
        send_due()
        assert len(receiver.got) == seen
        due_now()
    assert [round(one.total_seconds() / 60, 1) for one in waits] == [one.total_seconds() / 60 for one in WAITS]
    assert list(WAITS) == sorted(WAITS)
    send_due()
    assert WebhookDelivery.objects.get().state == "given up"
    assert WebhookAttempt.objects.filter(status=500, error="Answered 500.").count() == len(WAITS) + 1 == 11
    # Every attempt was signed anew, under one id.
    assert len({heads["webhook-id"] for _, heads, _ in receiver.got}) == 1
    for _, heads, body in receiver.got:
        assert heads["webhook-signature"] == by_hand(secret, heads["webhook-id"], heads["webhook-timestamp"], body)

    receiver.status = 200
    due_now()
    send_due()
    assert WebhookDelivery.objects.get().state == "given up"
    send_again(delivery.id, job=webhook.job, by=engineer)
    send_due()
    assert WebhookDelivery.objects.get().state == "delivered"
    assert WebhookAttempt.objects.count() == 12
    assert Webhook.objects.get().failures == 0


@pytest.mark.django_db
def test_an_address_that_fails_is_left_in_peace_and_holds_up_no_other(
    make_webhook: Made, receiver: Receiver, joint: Joint, engineer: User
) -> None:
    with receiving() as broken:
        broken.status = 500
        make_webhook("records.written", address=broken.url)
        make_webhook("records.written")
        for gap in range(1, 6):
            record(joint, engineer, gap_mm=gap)
        send_due()
        assert (len(receiver.got), len(broken.got)) == (5, 1)


@pytest.mark.django_db
def test_a_name_that_leads_inside_is_never_called_and_the_log_says_so(
    make_webhook: Made, receiver: Receiver, joint: Joint, engineer: User, settings: Any
) -> None:
    make_webhook("records.written")
    settings.WEBHOOK_DOOR = "office.calling.door.refusal"
    record(joint, engineer, gap_mm=1.5)
    send_due()
    assert receiver.got == []
    assert WebhookAttempt.objects.get().error.startswith("Only https is called")


@pytest.mark.django_db
@pytest.mark.parametrize("inside", ["10.0.0.1", "::ffff:10.0.0.1", "169.254.169.254"])
def test_a_name_that_leads_inside_since_the_last_call_is_refused_at_the_next(
    make_webhook: Made, receiver: Receiver, joint: Joint, engineer: User, monkeypatch: pytest.MonkeyPatch, inside: str
) -> None:
    make_webhook("records.written")
    record(joint, engineer, gap_mm=1.5)
    send_due()
    assert len(receiver.got) == 1
    monkeypatch.setattr(socket, "getaddrinfo", lambda *_a, **_k: [(0, socket.SOCK_STREAM, 6, "", (inside, 443))])
    record(joint, engineer, gap_mm=1.6)
    send_due()
    assert len(receiver.got) == 1
    assert WebhookAttempt.objects.latest("id").error == f"{ip_address(inside)} is not this computer"


@pytest.mark.django_db
def test_nothing_is_sent_unsigned_after_the_sites_key_changed(
    make_webhook: Made, receiver: Receiver, joint: Joint, engineer: User, settings: Any
) -> None:
    webhook, _ = make_webhook("records.written")
    settings.SECRET_KEY = "a new key of the site"
    record(joint, engineer, gap_mm=1.5)
    send_due()
    assert receiver.got == [] and WebhookAttempt.objects.get().error == LOST_KEY
    _, secret = rotate_secret(webhook.id, job=joint.job, by=engineer)
    due_now()
    send_due()
    [(_, heads, body)] = receiver.got
    assert heads["webhook-signature"] == by_hand(secret, heads["webhook-id"], heads["webhook-timestamp"], body)


@pytest.mark.django_db
def test_a_new_secret_signs_beside_the_one_before(
    make_webhook: Made, receiver: Receiver, joint: Joint, engineer: User
) -> None:
    webhook, first = make_webhook("records.written")
    _, second = rotate_secret(webhook.id, job=joint.job, by=engineer)
    record(joint, engineer, gap_mm=1.5)
    send_due()
    [(_, heads, body)] = receiver.got
    signed = [by_hand(one, heads["webhook-id"], heads["webhook-timestamp"], body) for one in (second, first)]
    assert heads["webhook-signature"].split(" ") == signed


@pytest.mark.django_db
def test_two_workers_take_each_delivery_once_and_a_late_word_says_nothing(
    make_webhook: Made, receiver: Receiver, joint: Joint, engineer: User
) -> None:
    make_webhook("records.written")
    record(joint, engineer, gap_mm=1.5)
    [parcel] = take(8, but=set())
    assert take(8, but=set()) == []
    # Two minutes later the first is thought to be dead.
    WebhookDelivery.objects.update(next_at=timezone.now() - timedelta(seconds=1))
    [second] = take(8, but=set())
    settle(second, call(second))
    receiver.status = 500
    settle(parcel, call(parcel))
    assert WebhookDelivery.objects.get().state == "delivered"


@pytest.mark.django_db
def test_what_is_old_is_forgotten_and_what_waits_is_not(
    make_webhook: Made, receiver: Receiver, joint: Joint, engineer: User
) -> None:
    make_webhook("records.written")
    record(joint, engineer, gap_mm=1.5)
    later = timezone.now() + timedelta(days=91)
    assert forget(later) == 0
    send_due()
    assert forget(timezone.now()) == 0
    assert forget(later) == 1
    assert not (WebhookEvent.objects.exists() or WebhookDelivery.objects.exists() or WebhookAttempt.objects.exists())


@pytest.mark.django_db
def test_a_fault_of_the_program_is_an_attempt_that_failed(
    make_webhook: Made, receiver: Receiver, joint: Joint, engineer: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    make_webhook("records.written")
    record(joint, engineer, gap_mm=1.5)
    monkeypatch.setattr("office.calling.sender.call", lambda parcel: 1 / 0)
    sender = Sender()
    assert sender.step()
    sender.close()
    assert "server’s log" in WebhookAttempt.objects.get().error
    assert WebhookDelivery.objects.get().state == "waiting"
