"""Records of the shop through the API: corrected and withdrawn like those of joints, by whoever may."""

from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from records.models import FillerLot, Joint, LotMove, Piece, PieceEvent, Spool, SpoolStep, User, Withdrawal
from tests.builders import JointBuilder, PieceBuilder
from tests.conftest import SignIn
from tests.records.api.test_writing import Body, a_piece, desk, in_shop, send, to_send
from tests.stored import stored

__all__ = ["desk"]
KINDS = {"piece-events": "piece-event", "spool-steps": "spool-step", "lot-moves": "lot-move"}
FILTERS = {"piece-events": "piece_id", "spool-steps": "spool_id", "lot-moves": "lot_id"}


def written(path: str, desk: Client, joint: Joint) -> Body:
    body, _ = to_send(path, desk, joint)
    answer = send(desk, path, body)
    assert answer.status_code == 201, answer.content
    return body


@pytest.mark.parametrize("path", KINDS)
def test_a_correction_replaces_once_and_needs_its_reason(path: str, desk: Client, joint: Joint) -> None:
    first = written(path, desk, joint)
    better = first | {"id": str(uuid4()), "by": "Store, second shift", "replaces": first["id"]}
    answer = send(desk, path, better)
    assert (answer.status_code, answer.json()["errors"][0]["field"]) == (422, "reason")
    better["reason"] = "The name was wrong."
    assert send(desk, path, better).status_code == 201
    assert send(desk, path, better).status_code == 200
    assert desk.get(f"/api/{path}/{first['id']}/").json()["replaced_by"] == better["id"]
    before = stored()
    assert send(desk, path, better | {"id": str(uuid4()), "by": "Eve"}).status_code == 409
    assert stored() == before


@pytest.mark.parametrize("path", KINDS)
def test_a_withdrawal_is_told_of_the_record_and_comes_once(path: str, desk: Client, joint: Joint) -> None:
    record = written(path, desk, joint)
    body = {"id": str(uuid4()), "job": "HW-7", "kind": KINDS[path], "record": record["id"], "reason": "In error."}
    assert send(desk, "shop-withdrawals", body).status_code == 201
    assert send(desk, "shop-withdrawals", body).status_code == 200
    assert desk.get(f"/api/{path}/{record['id']}/").json()["is_withdrawn"] is True
    before = stored()
    assert send(desk, "shop-withdrawals", body | {"id": str(uuid4())}).status_code == 409
    correction = record | {"id": str(uuid4()), "replaces": record["id"], "reason": "Too late."}
    assert send(desk, path, correction).status_code == 409
    assert stored() == before
    assert desk.get("/api/withdrawals/").json()["results"] == []


@pytest.mark.parametrize("path", KINDS)
def test_is_listed_of_its_thing(path: str, desk: Client, joint: Joint) -> None:
    record = written(path, desk, joint)
    field = FILTERS[path]
    rows = desk.get(f"/api/{path}/?job=HW-7&{field}={record[field]}").json()["results"]
    assert [row["id"] for row in rows] == [record["id"]]
    assert desk.get(f"/api/{path}/?{field}={uuid4()}").json()["results"] == []


def test_withdrawals_of_several_kinds_are_refused_whole(desk: Client, joint: Joint) -> None:
    records = {path: written(path, desk, joint) for path in ("piece-events", "lot-moves")}
    bodies = [
        {"id": str(uuid4()), "job": "HW-7", "kind": KINDS[path], "record": one["id"], "reason": "In error."}
        for path, one in records.items()
    ]
    answer = send(desk, "shop-withdrawals", bodies)
    assert answer.status_code == 422 and "several kinds" in answer.json()["detail"]
    assert not Withdrawal.objects.exists()


def test_a_withdrawal_names_a_record_of_its_kind(desk: Client, joint: Joint) -> None:
    event = written("piece-events", desk, joint)
    body = {"id": str(uuid4()), "job": "HW-7", "kind": "spool-step", "record": event["id"], "reason": "In error."}
    assert send(desk, "shop-withdrawals", body).status_code == 422
    assert not Withdrawal.objects.exists()


def test_the_state_follows_and_a_cut_names_its_part(desk: Client, joint: Joint) -> None:
    piece, part = a_piece(joint), PieceBuilder(sheet=joint.sheet, mark="P-9")
    body = in_shop("piece_id", piece, event="cut", part_id=str(part.id), mark_transferred=True, length_mm=914.4)
    told = send(desk, "piece-events", body)
    assert told.status_code == 201, told.content
    assert (told.json()["part_id"], told.json()["mark_transferred"]) == (str(part.id), True)
    assert desk.get(f"/api/pieces/{piece.id}/").json()["state"] == Piece.objects.get(id=piece.id).state != ""


@pytest.mark.parametrize(
    ("path", "own", "field"),
    [
        ("piece-events", {"event": "lost"}, "event"),
        ("piece-events", {"event": "cut", "part_id": "00000000-0000-0000-0000-000000000000"}, "part_id"),
        ("piece-events", {"length_mm": 0}, "length_mm"),
        ("piece-events", {"date": "2100-01-01"}, "date"),
        ("piece-events", {"joint_id": "x"}, "joint_id"),
        ("spool-steps", {"result": ""}, "result"),
        ("spool-steps", {"step": "shipped"}, "result"),
        ("lot-moves", {"unit": ""}, "quantity"),
        ("lot-moves", {"unit": "lb"}, "unit"),
        ("lot-moves", {"stamp": "Z9"}, "stamp"),
        ("lot-moves", {"place": "x" * 81}, "place"),
    ],
)
def test_says_which_field_is_at_fault(desk: Client, joint: Joint, path: str, own: Body, field: str) -> None:
    body, _ = to_send(path, desk, joint)
    answer = send(desk, path, body | own)
    assert answer.status_code == 422, answer.content
    assert [one["field"] for one in answer.json()["errors"]] == [field]
    assert all(one["message"] for one in answer.json()["errors"])
    models: tuple[Any, ...] = (PieceEvent, SpoolStep, LotMove)
    assert not any(model.objects.exists() for model in models)


def test_a_part_of_a_foreign_job_is_unknown(desk: Client, joint: Joint) -> None:
    foreign = PieceBuilder(sheet=JointBuilder().sheet)
    body = in_shop("piece_id", a_piece(joint), event="cut", part_id=str(foreign.id))
    assert send(desk, "piece-events", body).status_code == 422
    assert not PieceEvent.objects.exists()


def test_what_is_signed_asks_for_the_right_to_sign(
    desk: Client, joint: Joint, welder: User, foreman: User, sign_in: SignIn
) -> None:
    spool: Spool = joint.spool  # type: ignore[assignment]  # the builder gives every joint one
    cases: list[tuple[str, Body, int]] = [
        ("spool-steps", in_shop("spool_id", spool, step="shipped"), 201),
        ("spool-steps", in_shop("spool_id", spool, step="dimensional check", result="accepted"), 403),
        ("spool-steps", in_shop("spool_id", spool, step="released"), 403),
        ("piece-events", in_shop("piece_id", a_piece(joint), event="on hold"), 201),
        ("piece-events", in_shop("piece_id", a_piece(joint), event="off hold"), 403),
        ("lot-moves", in_shop("lot_id", FillerLot.objects.get(), move="issued", stamp="A1"), 201),
    ]
    for path, body, status in cases:
        for person in (welder, foreman):
            answer = send(sign_in(person), path, body | {"id": str(uuid4())})
            assert answer.status_code == status, (path, body, answer.content)
