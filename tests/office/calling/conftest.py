"""Fixtures of the tests of webhooks: a receiver on this computer, and a webhook to it."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest

from office.actions.add_webhook import add_webhook
from records.models import Job, User, Webhook
from records.models.base import new_id
from records.models.webhook import EVENTS
from tests.databases import own_database, template_database
from tests.office.calling.receiver import Receiver, receiving

__all__ = ["own_database", "template_database"]


@pytest.fixture
def door(settings: Any) -> None:
    settings.WEBHOOK_DOOR = "tests.office.calling.receiver.open_to_this_computer"


@pytest.fixture
def receiver(door: None) -> Iterator[Receiver]:
    with receiving() as one:
        yield one


Made = Callable[..., tuple[Webhook, str]]


@pytest.fixture
def make_webhook(job: Job, engineer: User, receiver: Receiver) -> Made:
    """Make a webhook of the job to the receiver: `make_webhook("findings.opened")`; of all kinds where none is said."""

    def made(*kinds: str, address: str = "") -> tuple[Webhook, str]:
        return add_webhook(new_id(), address or receiver.url, kinds or tuple(EVENTS), job=job, by=engineer)

    return made
