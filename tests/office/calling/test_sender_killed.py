"""A worker killed with -9 in the middle of a call loses nothing; another sends it again after the lease."""

import json
import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

from django.db import connection
from django.utils import timezone

from office.actions.add_webhook import add_webhook
from office.calling.deliveries import LEASE
from office.calling.sender import send_due
from records.models import WebhookAttempt, WebhookDelivery
from records.models.base import new_id
from tests.builders import JointBuilder, MembershipBuilder, UserBuilder
from tests.office.calling.receiver import receiving
from tests.office.calling.test_deliveries import record
from tests.office.calling.test_signing import by_hand

ROOT = Path(__file__).resolve().parents[3]
# A worker of its own, whose door is that of these tests; nothing of the environment could open it.
WORKER = """
import os
os.environ["DJANGO_SETTINGS_MODULE"] = "weldtrack.settings"
import django
django.setup()
from threading import Event
from django.conf import settings
settings.WEBHOOK_DOOR = "tests.office.calling.receiver.open_to_this_computer"
settings.SECRET_KEY = os.environ["KEY_OF_TEST"]
from office.calling.sender import Sender
Sender().run(Event())
"""


def test_a_worker_killed_in_the_middle_of_a_call_loses_nothing(
    own_database: str, django_db_blocker: Any, door: None, tmp_path: Path, settings: Any
) -> None:
    with django_db_blocker.unblock(), receiving() as receiver:
        joint = JointBuilder()
        engineer = UserBuilder()
        MembershipBuilder(job=joint.job, user=engineer, role="engineer")
        _, secret = add_webhook(new_id(), receiver.url, ["records.written"], job=joint.job, by=engineer)
        stored = record(joint, engineer, gap_mm=1.5)
        # The receiver takes the call and says nothing: the worker waits, and is killed while it waits.
        receiver.drip = 0.2
        connection.close()
        worker = subprocess.Popen(
            [sys.executable, "-c", WORKER], cwd=ROOT, env=_environment(own_database, tmp_path, settings.SECRET_KEY)
        )
        try:
            assert receiver.came.wait(timeout=60)
        finally:
            os.kill(worker.pid, signal.SIGKILL)
            assert worker.wait() == -signal.SIGKILL
        delivery = WebhookDelivery.objects.get()
        assert (delivery.state, delivery.tries) == ("waiting", 1)
        assert timezone.now() < delivery.next_at <= timezone.now() + LEASE
        [broken] = WebhookAttempt.objects.all()
        assert (broken.status, broken.milliseconds) == (None, None)

        receiver.drip = 0.0
        send_due()
        assert len(receiver.got) == 1
        WebhookDelivery.objects.update(next_at=timezone.now())
        send_due()
        assert WebhookDelivery.objects.get().state == "delivered"
        (_, first, body), (_, second, same) = receiver.got
        assert first["webhook-id"] == second["webhook-id"] and body == same
        assert json.loads(same)["data"]["records"][0]["id"] == str(stored.id)
        assert second["webhook-signature"] == by_hand(secret, second["webhook-id"], second["webhook-timestamp"], same)


def _environment(database: str, data: Path, key: str) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if name != "PYTEST_VERSION"}
    given = connection.settings_dict
    url = f"sqlite:////{database.lstrip('/')}"
    if connection.vendor == "postgresql":
        url = f"postgresql://{given['USER']}:{given['PASSWORD']}@{given['HOST']}:{given['PORT'] or 5432}/{database}"
    return kept | {"DATABASE_URL": url, "DATA_DIR": str(data), "KEY_OF_TEST": key, "PYTHONPATH": str(ROOT)}
