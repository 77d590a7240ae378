"""Lots through the API: those of the page, with what they ask, walked by cursor."""

import base64
import json
from typing import Any
from uuid import UUID

import pytest
from django.test import Client

from records.models import ExamRule, Joint, SampleLot, User
from tests.builders import JointBuilder
from tests.conftest import SignIn
from tests.records.api.test_cursor import walk
from tests.records.api.test_writing import a_pass, desk, send

__all__ = ["desk"]


@pytest.fixture
def rule(joint: Joint) -> ExamRule:
    return ExamRule.objects.create(
        job=joint.job, plan=joint.line.exam_plan, joint_kind="all", method="RT", share_percent=50, lot_basis="sheet"
    )


def weld(desk: Client, joint: Joint) -> None:
    for order, role in ((1, "root"), (2, "cap")):
        assert send(desk, "passes", a_pass(joint, role, order)).status_code == 201


def test_tells_how_a_sample_stands(desk: Client, joint: Joint, rule: ExamRule) -> None:
    assert desk.get("/api/lots/?job=HW-7").json() == {"next": None, "results": []}
    weld(desk, joint)
    [lot] = desk.get("/api/lots/?job=HW-7").json()["results"]
    name = f"{joint.sheet.drawing}/{joint.sheet.number}/{joint.number}"
    assert (lot["rule_id"], lot["method"], lot["share_percent"]) == (str(rule.id), "RT", 50)
    # One weld, a share of 50 %, rounded up: one to examine, and it is not picked yet.
    assert (lot["state"], lot["welds"], lot["needed"], lot["counted"], lot["to_pick"]) == ("sample short", 1, 1, 0, 1)
    assert (lot["joints"], lot["welders_lacking"]) == ([name], ["A1"])
    assert lot["id"] == str(SampleLot.objects.get().id) and lot["steps"]


def test_is_walked_by_cursor(desk: Client, joint: Joint, rule: ExamRule) -> None:
    joints = [joint, *(JointBuilder(sheet__line=joint.line, sheet__number=str(place)) for place in range(2, 5))]
    for one in joints:
        weld(desk, one)
    whole = desk.get("/api/lots/?job=HW-7").json()["results"]
    assert len(whole) == 4
    for address in ("/api/lots/?job=HW-7&limit=1", "/api/lots/?limit=1"):
        assert walk(desk, address) == whole


def written(*parts: str) -> str:
    return base64.urlsafe_b64encode(json.dumps(parts).encode()).decode().rstrip("=")


STRANGE = [
    written(str(UUID(int=1)), *parts)
    for parts in (("a\0b", "10", ""), ("a", "10", "\0"), ("a", "NaN", ""), ("a", "Infinity", ""), ("a", "", ""))
]


@pytest.mark.parametrize("cursor", ["x", "W10", "WyJhIl0", *STRANGE])
def test_a_strange_cursor_is_refused(desk: Client, joint: Joint, cursor: str) -> None:
    answer = desk.get(f"/api/lots/?cursor={cursor}")
    assert (answer.status_code, answer.json()["errors"][0]["field"]) == (422, "cursor")


def test_another_jobs_lots_are_not_shown(
    desk: Client, joint: Joint, rule: ExamRule, visitor: User, sign_in: SignIn
) -> None:
    weld(desk, joint)
    other: Any = sign_in(visitor)
    assert other.get("/api/lots/").json()["results"] == []
    assert other.get("/api/lots/?job=HW-7").status_code == 404
