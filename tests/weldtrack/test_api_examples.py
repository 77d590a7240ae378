"""The examples of the schema are what the API takes and answers: each is sent to a job and its answer compared.

Where the API changed on purpose, write them again: WRITE_API_EXAMPLES=1 pytest tests/weldtrack/test_api_examples.py
"""

import json
import os
from datetime import UTC, datetime
from itertools import count
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from django.test import Client
from django.utils import timezone
from drf_spectacular.generators import SchemaGenerator
from factory.django import DjangoModelFactory
from jsonschema import Draft202012Validator, FormatChecker

from office.importing.forms import FORMS
from records.lot_storing import store_lots
from records.models import (
    Certificate,
    ContinuityEntry,
    ExamRule,
    FillerLot,
    Job,
    Joint,
    Material,
    Package,
    Route,
    Stamp,
    User,
)
from records.models import base as base_models
from records.papers import Library
from tests import builders
from tests.builders import (
    ConfirmationBuilder,
    HoldPointBuilder,
    JointBuilder,
    OwnerLimitBuilder,
    PieceBuilder,
    days_ago,
)
from tests.conftest import SignIn
from weldtrack.api import schema as of_schema

# The sheets' own drafts take ids when they are first read: before any is counted.
assert FORMS
STORED = Path(of_schema.__file__).with_name("examples.json")
AT = datetime(2026, 3, 31, 14, 5, tzinfo=UTC)
DAY = "2026-03-31"
JSON = "application/json"
# What differs each time, by its nature: sums over what is drawn, and the numbers that a database gives.
VOLATILE = {"hash", "previous", "payload", "secret", "head_hash"}
Body = dict[str, Any]


def an_id(number: int) -> str:
    return str(UUID(int=(0x01970A4C1C00 << 80) | (7 << 76) | (2 << 62) | number))


@pytest.fixture(autouse=True)
def frozen(monkeypatch: pytest.MonkeyPatch) -> None:
    """One moment, and ids and names in order, so that a job is built alike each time."""
    numbers = count(0x1000)
    monkeypatch.setattr(timezone, "now", lambda: AT)
    monkeypatch.setattr(base_models, "new_ids", lambda many: [UUID(an_id(next(numbers))) for _ in range(many)])
    for one in vars(builders).values():
        if isinstance(one, type) and issubclass(one, DjangoModelFactory) and one is not DjangoModelFactory:
            one.reset_sequence(0, force=True)


@pytest.fixture
def schema() -> dict[str, Any]:
    found: dict[str, Any] = SchemaGenerator().get_schema(request=None, public=True)
    return found


class World:
    """A job on which everything is sent once, and all that was sent and answered, by the operation's name."""

    def __init__(self, client: Client, joint: Joint, schema: dict[str, Any]) -> None:
        self.client, self.joint, self.schema = client, joint, schema
        self.told: dict[str, Body] = {}
        self.ids: dict[str, str] = {}
        self.stored: dict[str, Body] = {} if os.environ.get("WRITE_API_EXAMPLES") else json.loads(STORED.read_text())

    def post(self, operation: str, path: str, body: Body | None) -> Body:
        """Send the stored example itself, which must be what this test says."""
        if body is not None and operation in self.stored:
            assert self.stored[operation]["request"] == body, operation
            body = self.stored[operation]["request"]
        answer = self.client.post(path, body, content_type=JSON)
        assert answer.status_code in (200, 201), (operation, answer.content)
        told: Body = answer.json()
        self.told[operation] = {"request": body, "status": answer.status_code, "answer": told}
        return told

    def record(self, path: str, number: int, **own: Any) -> Body:
        body = {"id": an_id(number), **own}
        self.ids[path] = body["id"]
        return self.post(f"record_{path.replace('-', '_')}", f"/api/{path}/", body)

    def send(self, path: str, number: int, **own: Any) -> None:
        """Send what is needed beside the examples."""
        answer = self.client.post(f"/api/{path}/", {"id": an_id(number), **own}, content_type=JSON)
        assert answer.status_code == 201, answer.content

    def get(self, operation: str, path: str) -> Body:
        answer = self.client.get(path)
        assert answer.status_code == 200, (operation, answer.content)
        self.told[operation] = {"request": None, "status": 200, "answer": answer.json()}
        return self.told[operation]["answer"]


def on(joint: Joint, **own: Any) -> Body:
    return {"joint_id": str(joint.id), "date": DAY, **own}


def write_everything(world: World, other: Joint) -> None:
    """The day of two joints: the first is welded, accepted and released, the second rejected and repaired."""
    joint = world.joint
    world.record("assignments", 1, **on(joint, stamp="A1", by="Frida Holm"))
    world.record("fit-ups", 2, **on(joint, time="07:10", by="A1", gap_mm=1.5875, tack_stamp="A1"))
    root = {"order": 1, "pass": "root", "stamp": "A1", "process": "GTAW", "filler_lot": "F-2209"}
    world.record("passes", 3, **on(joint, time="07:40", **root, amps=112.5, volts=11.5))
    world.send("passes", 4, **on(joint, **root | {"order": 2, "pass": "cap"}))
    seen = {"method": "VT", "result": "accepted", "by": "Ines Carrow", "leg_a_mm": 6, "leg_b_mm": 6}
    world.record("examinations", 5, **on(joint, report="VT-12", **seen))
    world.record("releases", 6, **on(joint, by="Ines Carrow"))
    world.send("fit-ups", 7, **on(other, by="A1", gap_mm=1.5875))
    world.send("passes", 8, **on(other, **root))
    world.send("passes", 9, **on(other, **root | {"order": 2, "pass": "cap"}))
    world.send("examinations", 10, **on(other, **seen | {"result": "rejected", "indications": "crack 12-1"}))
    why = {"code": "examination-rejected", "reason": "Goes on to the repair bench.", "by": "Edda Mroz"}
    world.record("overrides", 11, **on(other, **why))
    world.record("repairs", 12, **on(other, decision="repair", by="Ines Carrow", reason="Crack at the cap."))
    world.record("picks", 13, **on(other, method="RT", how="by hand", by="Ines Carrow", attempt="R1"))
    withdrawn = {"joint_id": str(other.id), "kind": "pick", "record": an_id(13), "reason": "Another joint."}
    world.record("withdrawals", 14, **withdrawn)
    world.record("attendances", 16, **on(joint, point="4.2", result="notified", by="Ines Carrow"))
    world.send("fit-ups", 15, **on(other, attempt="R1", by="A1", gap_mm=6))


def write_in_the_shop(world: World, piece: str) -> None:
    lot = FillerLot.objects.get(number="F-2209")
    at = {"date": DAY, "by": "Store"}
    world.record("piece-events", 20, piece_id=piece, event="received", place="Rack 4", **at)
    world.record("spool-steps", 21, spool_id=str(world.joint.spool_id), step="cleaned", place="Bay 2", **at)
    world.record("lot-moves", 22, lot_id=str(lot.id), move="issued", stamp="A1", quantity=2.5, unit="kg", **at)
    error = {"kind": "lot-move", "record": an_id(22), "reason": "Another lot."}
    world.record("shop-withdrawals", 23, job="HW-7", **error)


def tell_programs(world: World) -> None:
    body = {"id": an_id(30), "job": "HW-7", "address": "https://example.com/told", "kinds": ["joints.released"]}
    world.ids["webhooks"] = an_id(30)
    world.post("make_webhook", "/api/webhooks/", body)
    delivery = world.post("try_webhook", f"/api/webhooks/{an_id(30)}/try/", None)
    world.ids["webhook-deliveries"] = delivery["id"]
    world.post("send_delivery_again", f"/api/webhook-deliveries/{delivery['id']}/send-again/", None)
    world.post("rotate_secret", f"/api/webhooks/{an_id(30)}/rotate/", None)


def build_plan(job: Job, joint: Joint, stamp: Stamp, by: User) -> None:
    """A row of each list that nobody writes through the API."""
    Material.objects.create(job=job, name="A999 Gr 1", p_number="1", group="2")
    Certificate.objects.create(job=job, number="MC-77")
    Route.objects.create(job=job, sheet=joint.sheet, text="size 1 sch 80\nrun north 1 m\nopen end\n")
    ContinuityEntry.objects.create(job=job, stamp=stamp, process="GTAW", used_on=days_ago(40), evidence="Log 12")
    OwnerLimitBuilder(job=job)
    HoldPointBuilder(job=job, name="4.2", kind="witness", step="root")
    ConfirmationBuilder(job=job, recorded_by=by, recorded_at=AT, by="Edda Mroz")
    Package.objects.create(
        job=job, recorded_by=by, recorded_at=AT, scope="job", sha256="5" * 64, manifest_sha256="6" * 64, pages=214,
        missing=3, head_number=812, head_hash="7" * 64,
    )  # fmt: skip


def read_everything(world: World) -> None:
    """One row of every list, and every question; the row of what was sent where something was."""
    world.get("resources", "/api/")
    for path, methods in world.schema["paths"].items():
        operation = methods.get("get", {}).get("operationId", "")
        name = path.split("/")[2]
        if operation.startswith("list_"):
            only = "?job=HW-7&limit=1" if operation != "list_attempts" else f"?joint_id={world.joint.id}"
            page = world.get(operation, f"/api/{name}/{only}")
            assert page["results"], operation
        elif operation.startswith("read_"):
            key = world.ids.get(name) or world.told[f"list_{name.replace('-', '_')}"]["answer"]["results"][0]["id"]
            world.get(operation, f"/api/{name}/{key}/")
    world.get("who_may_weld", f"/api/joints/{world.joint.id}/who-may-weld/")
    world.get("requirements", f"/api/joints/{world.joint.id}/requirements/")
    world.get("compute", "/api/compute/pipe/?nps=1&schedule=80")


@pytest.fixture
def world(
    joint: Joint, stamp: Stamp, filler_lot: FillerLot, engineer: User, inspector: User, foreman: User,
    administrator: User, sign_in: SignIn, schema: dict[str, Any],
) -> World:  # fmt: skip
    return World(sign_in(engineer), joint, schema)


def test_each_example_is_taken_and_answered_as_it_stands(world: World, engineer: User, stamp: Stamp) -> None:
    joint = world.joint
    other = JointBuilder(sheet=joint.sheet, number="15", procedure=joint.procedure)
    build_plan(joint.job, joint, stamp, engineer)
    piece = str(PieceBuilder(sheet=joint.sheet, mark="P-4", heat=joint.heat_a).id)
    write_everything(world, other)
    write_in_the_shop(world, piece)
    ExamRule.objects.create(
        job=joint.job, plan=joint.line.exam_plan, joint_kind="all", method="RT", share_percent=10, lot_basis="line"
    )
    tell_programs(world)
    store_lots(joint.job, [joint.id], Library(joint.job))
    read_everything(world)
    world.post("end_webhook", f"/api/webhooks/{an_id(30)}/end/", None)

    operations = {one["operationId"] for methods in world.schema["paths"].values() for one in methods.values()}
    assert set(world.told) == operations - {"schema_retrieve"}
    for one in world.told.values():
        one["answer"] = settled(one["answer"])
    if os.environ.get("WRITE_API_EXAMPLES"):
        STORED.write_text(json.dumps(world.told, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")
        return
    for operation, told in world.told.items():
        assert steady(told) == steady(world.stored[operation]), operation


def settled(value: Any) -> Any:
    """An answer without this test's own host, with no secret, and with a finding's number as any."""
    text = json.dumps(value, ensure_ascii=False).replace("http://testserver/", "https://spoolbook.example/")
    found = json.loads(text)
    for row in [found, *(found.get("results") or ())]:
        if "severity" in row and isinstance(row.get("id"), int):
            row["id"] = 4117
    if found.get("secret"):
        found["secret"] = f"whsec_{'A' * 43}="
    if isinstance(found.get("next"), str):
        found["next"] = None
    return found


def steady(value: Any) -> Any:
    """What stays the same each time."""
    if isinstance(value, dict):
        return {name: None if name in VOLATILE else steady(one) for name, one in value.items()}
    return [steady(one) for one in value] if isinstance(value, list) else value


def validator(schema: dict[str, Any], part: dict[str, Any]) -> Draft202012Validator:
    return Draft202012Validator({**part, "components": schema["components"]}, format_checker=FormatChecker())


def test_every_operation_shows_examples_that_its_own_schema_allows(schema: dict[str, Any]) -> None:
    seen = 0
    for path, methods in schema["paths"].items():
        for method, operation in methods.items():
            contents = [(code, answer.get("content", {}).get(JSON)) for code, answer in operation["responses"].items()]
            answers = [(code, one) for code, one in contents if one and one["schema"]]
            body = operation.get("requestBody", {}).get("content", {}).get(JSON)
            for code, content in [*answers, *([("sent", body)] if body else [])]:
                if path == "/api/schema/":
                    continue
                assert content.get("examples"), (method, path, code)
                for example in content["examples"].values():
                    faults = [one.message for one in validator(schema, content["schema"]).iter_errors(example["value"])]
                    assert faults == [], (method, path, code)
                    seen += 1
    assert seen > 130


def test_an_example_that_the_schema_forbids_would_be_seen(schema: dict[str, Any]) -> None:
    content = schema["paths"]["/api/fit-ups/{id}/"]["get"]["responses"]["200"]["content"][JSON]
    [example] = content["examples"].values()
    check = validator(schema, content["schema"])
    assert check.is_valid(example["value"])
    for other in ({"gap_mm": "wide"}, {"id": 7}, {"recorded_at": None}):
        assert not check.is_valid(example["value"] | other), other
    assert not check.is_valid({name: value for name, value in example["value"].items() if name != "joint_id"})
