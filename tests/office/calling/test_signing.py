"""Signatures: the published example of the convention, and what becomes of a secret that is changed."""

import base64
import hashlib
import hmac
import re
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from office.calling import signing
from records.models import Job, Webhook
from tests.builders import UserBuilder

ROOT = Path(__file__).resolve().parents[3]
AT = datetime(2026, 3, 31, 14, 5, tzinfo=UTC)


def by_hand(secret: str, event: str, stamp: str, body: bytes) -> str:
    """What a receiver works out, with nothing of ours: HMAC-SHA-256 keyed by the decoded secret."""
    key = base64.b64decode(secret.removeprefix("whsec_"))
    said = b".".join([event.encode(), stamp.encode(), body])
    return "v1," + base64.b64encode(hmac.digest(key, said, hashlib.sha256)).decode()


@pytest.fixture
def webhook(job: Job) -> Webhook:
    salt = signing.new_salt()
    return Webhook.objects.create(
        job=job, address="https://example.com/", kinds=["records.written"], salt=salt,
        secret_sum=signing.sum_of(salt), made_by=UserBuilder(), made_at=AT,
    )  # fmt: skip


def test_signs_as_the_conventions_published_example_has_it(monkeypatch: pytest.MonkeyPatch) -> None:
    # The example of the specification of Standard Webhooks and of its libraries.
    secret = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw"
    event, stamp, body = "msg_p5jXN8AQM9LWM0D4loKWxJek", "1614265330", b'{"test": 2432232314}'
    expected = "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="
    assert by_hand(secret, event, stamp, body) == expected
    key = base64.b64decode(secret.removeprefix("whsec_"))
    monkeypatch.setattr(signing, "_key", lambda salt: key)
    webhook = Webhook(salt="any")
    at = datetime.fromtimestamp(int(stamp), UTC)
    assert signing.headers(webhook, event=event, body=body, at=at)["webhook-signature"] == expected


def test_each_attempt_is_signed_with_its_own_time(webhook: Webhook) -> None:
    secret = signing.secret_of(webhook.salt)
    first, second = (signing.headers(webhook, event="e", body=b"{}", at=AT + timedelta(seconds=s)) for s in (0, 30))
    assert first["webhook-signature"] != second["webhook-signature"]
    for one in (first, second):
        assert one["webhook-signature"] == by_hand(secret, "e", one["webhook-timestamp"], b"{}")


def test_a_secret_has_256_bits_and_stands_nowhere_in_the_row(webhook: Webhook) -> None:
    secret = signing.secret_of(webhook.salt)
    assert len(base64.b64decode(secret.removeprefix("whsec_"))) == 32
    row = str(Webhook.objects.values().get(id=webhook.id))
    assert secret not in row and secret.removeprefix("whsec_") not in row


def test_the_secret_before_signs_for_a_day_too(webhook: Webhook) -> None:
    webhook.salt_before, webhook.before_until = webhook.salt, AT + signing.BOTH_FOR
    webhook.salt = signing.new_salt()
    within = signing.headers(webhook, event="e", body=b"{}", at=AT)
    secrets = [signing.secret_of(salt) for salt in (webhook.salt, webhook.salt_before)]
    assert within["webhook-signature"].split(" ") == [
        by_hand(secret, "e", within["webhook-timestamp"], b"{}") for secret in secrets
    ]
    after = signing.headers(webhook, event="e", body=b"{}", at=AT + timedelta(days=2))
    assert " " not in after["webhook-signature"]


def test_a_new_key_of_the_site_is_noticed(webhook: Webhook, settings: Any) -> None:
    assert signing.can_sign(webhook)
    settings.SECRET_KEY = "another key of the site"
    assert not signing.can_sign(webhook)


def test_the_example_of_the_documents_tells_genuine_from_forged(webhook: Webhook) -> None:
    words = (ROOT / "docs" / "api.md").read_text(encoding="utf-8")
    [example] = [part for part in re.findall(r"```python\n(.*?)```", words, re.DOTALL) if "is_genuine" in part]
    made: dict[str, Any] = {}
    exec(example, made)
    secret, now = signing.secret_of(webhook.salt), AT.timestamp()
    heads = signing.headers(webhook, event="e", body=b"{}", at=AT)
    is_genuine = made["is_genuine"]
    assert is_genuine(heads, b"{}", secret, now)
    assert not is_genuine(heads, b"{ }", secret, now)
    assert not is_genuine(heads, b"{}", signing.secret_of("another"), now)
    assert not is_genuine(heads | {"webhook-id": "f"}, b"{}", secret, now)
    assert not is_genuine(heads, b"{}", secret, now + 301)
