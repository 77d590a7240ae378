"""The secret of a webhook and its signature: HMAC-SHA-256 over id, time and body, as Standard Webhooks has it.

The secret is stored nowhere. It follows from the site's key (SECRET_KEY) and a salt that stands with the webhook, so
that who has the database alone can't sign, and a backup of it gives nothing away.
"""

import base64
import hashlib
import hmac
import secrets
from datetime import datetime, timedelta

from django.utils.crypto import salted_hmac

from records.models import Webhook

PREFIX = "whsec_"
# After a change the secret before signs too, so that the receiver has a day to learn the new one.
BOTH_FOR = timedelta(days=1)


def new_salt() -> str:
    """A salt of 256 bits."""
    return secrets.token_urlsafe(32)


def secret_of(salt: str) -> str:
    """The secret as the receiver keeps it: `whsec_` and 32 bytes in base64."""
    return PREFIX + base64.b64encode(_key(salt)).decode()


def sum_of(salt: str) -> str:
    """What is kept of a secret, to see later whether the site still makes the same of the salt."""
    return hashlib.sha256(_key(salt)).hexdigest()


def can_sign(webhook: Webhook) -> bool:
    """Say whether the site's key is still the one that the secret was made with."""
    return hmac.compare_digest(sum_of(webhook.salt), webhook.secret_sum)


def headers(webhook: Webhook, *, event: str, body: bytes, at: datetime) -> dict[str, str]:
    """The headers of one attempt; the time is the attempt's own, so that an old one can't be played back."""
    stamp = str(int(at.timestamp()))
    salts = [webhook.salt]
    if webhook.salt_before and webhook.before_until and at < webhook.before_until:
        salts.append(webhook.salt_before)
    signatures = " ".join(f"v1,{_signature(salt, event, stamp, body)}" for salt in salts)
    return {"webhook-id": event, "webhook-timestamp": stamp, "webhook-signature": signatures}


def _key(salt: str) -> bytes:
    return salted_hmac("records.webhook", salt, algorithm="sha256").digest()


def _signature(salt: str, event: str, stamp: str, body: bytes) -> str:
    said = f"{event}.{stamp}.".encode() + body
    return base64.b64encode(hmac.new(_key(salt), said, hashlib.sha256).digest()).decode()
