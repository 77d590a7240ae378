"""Writing through the API: once each, all or nothing, in the same words as the pages."""

from collections.abc import Callable
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.test import Client

from records.models import FillerLot, FitUp, Joint, Pass, Piece, Stamp, User
from tests.access.table import API
from tests.builders import HoldPointBuilder, JointBuilder, PieceBuilder, days_ago
from tests.conftest import SignIn
from tests.stored import stored
from weldtrack.api.pages import RESOURCES

Body = dict[str, Any]
WRITABLE = {one.path: one for one in RESOURCES if one.verb}
# Deeds on a webhook that stands: nothing is sent, so that there is no key and no body to differ.
DEEDS = {"api-webhooks-rotate", "api-webhooks-end", "api-webhooks-try", "api-webhook-deliveries-again"}
# Yesterday, so that any time of the day lies behind.
DAY = days_ago(1).isoformat()


def send(client: Client, path: str, body: Any) -> Any:
    return client.post(f"/api/{path}/", body, content_type="application/json")


def common(joint: Joint, **own: Any) -> Body:
    return {"id": str(uuid4()), "joint_id": str(joint.id), "date": DAY, **own}


def a_pass(joint: Joint, role: str, order: int, **own: Any) -> Body:
    return common(joint, order=order, stamp="A1", process="GTAW", filler_lot="F-2209", **{"pass": role}, **own)


def in_shop(field: str, thing: Any, **own: Any) -> Body:
    return {"id": str(uuid4()), field: str(thing.id), "date": DAY, "by": "Store", **own}


def a_piece(joint: Joint) -> Piece:
    return Piece.objects.filter(sheet=joint.sheet).first() or PieceBuilder(sheet=joint.sheet)


def unsecret(told: Body) -> Body:
    """An answer without what is shown once."""
    return {name: value for name, value in told.items() if name != "secret"}


@pytest.fixture
def desk(engineer: User, inspector: User, stamp: Stamp, filler_lot: FillerLot, sign_in: SignIn) -> Client:
    """The engineer, who may write everything, where the welder, the filler and the examiner are known."""
    return sign_in(engineer)


def welded(desk: Client, joint: Joint, result: str) -> None:
    """Fit, weld and examine a joint through the API."""
    steps: list[tuple[str, Body]] = [
        ("fit-ups", common(joint, gap_mm=1.5875, heat_a_read="", by="A1", time="07:10")),
        ("passes", a_pass(joint, "root", 1)),
        ("passes", a_pass(joint, "cap", 2)),
        ("examinations", common(joint, method="VT", result=result, by="Ines Carrow", leg_a_mm=6, leg_b_mm=6)),
    ]
    for path, body in steps:
        answer = send(desk, path, body)
        assert answer.status_code == 201, answer.content


def to_send(path: str, desk: Client, joint: Joint) -> tuple[Body, Body]:
    """A record of a resource that can be written, and how another one under its id would differ."""
    match path:
        case "assignments":
            return common(joint, stamp="A1"), {"attempt": "R1"}
        case "fit-ups":
            return common(joint, gap_mm=1.5875, by="A1"), {"gap_mm": 2}
        case "passes":
            return a_pass(joint, "root", 1, amps=112.5, time="07:40"), {"amps": 113}
        case "examinations":
            return common(joint, method="VT", result="accepted", by="Ines Carrow"), {"result": "rejected"}
        case "repairs":
            welded(desk, joint, "rejected")
            return common(joint, decision="repair", by="Ines Carrow"), {"decision": "cut-out"}
        case "releases":
            welded(desk, joint, "accepted")
            return common(joint, by="Ines Carrow"), {"remark": "to the rack"}
        case "overrides":
            welded(desk, joint, "rejected")
            return common(joint, code="examination-rejected", reason="Film of the edge.", by="Edda Mroz"), {"by": "Eve"}
        case "attendances":
            point = HoldPointBuilder(job=joint.job)
            told = {"point": point.name, "result": "notified", "by": "Ines Carrow"}
            return common(joint, **told), {"remark": "by telephone"}
        case "withdrawals":
            fit_up = common(joint, gap_mm=1.5875)
            assert send(desk, "fit-ups", fit_up).status_code == 201
            body = {"id": str(uuid4()), "joint_id": str(joint.id), "kind": "fit-up", "record": fit_up["id"]}
            return body | {"reason": "On joint 15."}, {"reason": "Joint 15."}
        case "picks":
            return common(joint, method="RT", how="by hand", by="Ines Carrow"), {"remark": "Seen with the owner."}
        case "piece-events":
            return in_shop("piece_id", a_piece(joint), event="received", place="Rack 4"), {"place": "Rack 5"}
        case "spool-steps":
            sent = in_shop("spool_id", joint.spool, step="dimensional check", result="accepted", time="15:10")
            return sent, {"result": "rejected"}
        case "lot-moves":
            lot = FillerLot.objects.get(number="F-2209")
            return in_shop("lot_id", lot, move="issued", stamp="A1", quantity=2.5, unit="kg"), {"quantity": 2}
        case "shop-withdrawals":
            received = in_shop("piece_id", a_piece(joint), event="received")
            assert send(desk, "piece-events", received).status_code == 201
            body = {"id": str(uuid4()), "job": "HW-7", "kind": "piece-event", "record": received["id"]}
            return body | {"reason": "Another piece."}, {"reason": "Not this piece."}
        case "webhooks":
            body = {"id": str(uuid4()), "job": "HW-7", "address": "https://example.com/a", "kinds": ["joints.released"]}
            return body, {"kinds": ["packages.built"]}
    raise AssertionError(path)


@pytest.mark.parametrize("path", WRITABLE)
def test_a_record_is_written_once_and_another_under_its_id_never(path: str, desk: Client, joint: Joint) -> None:
    body, other = to_send(path, desk, joint)
    first = send(desk, path, body)
    assert first.status_code == 201, first.content
    after = stored()

    again = send(desk, path, body)
    assert again.status_code == 200, again.content
    assert unsecret(again.json()) == unsecret(first.json())
    assert stored() == after

    clash = send(desk, path, body | other)
    assert clash.status_code == 409, clash.content
    assert clash["Content-Type"] == "application/problem+json"
    assert stored() == after


@pytest.mark.parametrize("path", WRITABLE)
def test_what_was_recorded_is_answered_as_it_was_sent(path: str, desk: Client, joint: Joint) -> None:
    body, _ = to_send(path, desk, joint)
    told = send(desk, path, body).json()
    said = {name: told[name] for name in body} | {"time": (told.get("time") or "")[:5]}
    assert said == body | {"time": body.get("time", "")}
    assert unsecret(told) == desk.get(f"/api/{path}/{body['id']}/").json()


@pytest.mark.parametrize("path", WRITABLE)
def test_the_client_writes_nothing(path: str, desk: Client, joint: Joint, client_person: User, sign_in: SignIn) -> None:
    body, _ = to_send(path, desk, joint)
    before = stored()
    for address in (path, f"{path}/?job=HW-7"):
        url = f"/api/{address}/" if "?" not in address else f"/api/{address}"
        assert sign_in(client_person).post(url, body, content_type="application/json").status_code == 403
    assert stored() == before


@pytest.mark.parametrize("path", WRITABLE)
def test_a_thing_of_a_foreign_job_is_as_unknown_as_one_that_is_not(
    path: str, desk: Client, joint: Joint, visitor: User, sign_in: SignIn
) -> None:
    body, _ = to_send(path, desk, joint)
    before = stored()
    there = send(sign_in(visitor), path, body)
    field = "job" if path == "webhooks" else WRITABLE[path].thing.field
    nowhere = send(sign_in(visitor), path, body | {field: "NONE-1" if field == "job" else str(uuid4())})
    assert there.status_code == nowhere.status_code == (404 if path == "webhooks" else 422)
    assert there.content == nowhere.content
    assert stored() == before


def test_every_writing_address_of_the_table_is_tried() -> None:
    assert {f"api-{path}" for path in WRITABLE} | DEEDS == {name for name, verbs in API.items() if "POST" in verbs}


def test_a_list_is_recorded_whole_or_not_at_all(desk: Client, joint: Joint) -> None:
    good = [a_pass(joint, "root", 1), a_pass(joint, "cap", 2)]
    answer = send(desk, "passes", [*good, a_pass(joint, "cap", 3, amps=1500)])
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["field"] == "amps"
    assert Pass.objects.count() == 0
    answer = send(desk, "passes", good)
    assert answer.status_code == 201
    assert [one["id"] for one in answer.json()] == [one["id"] for one in good]
    assert send(desk, "passes", good).status_code == 200
    assert Pass.objects.count() == 2


def test_a_list_costs_the_same_queries_whatever_its_length(
    desk: Client, joint: Joint, django_assert_max_num_queries: Callable[..., Any]
) -> None:
    with django_assert_max_num_queries(80):
        assert send(desk, "passes", [a_pass(joint, "fill", place) for place in range(1, 91)]).status_code == 201


def test_what_was_left_out_stays_as_it_was_stored_when_the_plan_changes(desk: Client, joint: Joint) -> None:
    body = a_pass(joint, "root", 1)
    assert send(desk, "passes", body).json()["procedure"] == "W-11"
    Joint.objects.filter(id=joint.id).update(procedure=None)
    assert send(desk, "passes", body).status_code == 200


def test_four_readings_make_the_gap(desk: Client, joint: Joint) -> None:
    told = send(desk, "fit-ups", common(joint, gap_12_mm=2, gap_3_mm=1.5, gap_6_mm=2, gap_9_mm=2.5)).json()
    assert told["gap_mm"] == 1.5
    assert told["by"] == "Edda Mroz"


def test_a_correction_names_what_it_replaces(desk: Client, joint: Joint) -> None:
    first = common(joint, gap_mm=1.5875)
    assert send(desk, "fit-ups", first).status_code == 201
    better = common(joint, gap_mm=2, replaces=first["id"])
    answer = send(desk, "fit-ups", better)
    assert (answer.status_code, answer.json()["errors"][0]["field"]) == (422, "reason")
    assert send(desk, "fit-ups", better | {"reason": "Read off the wrong joint."}).status_code == 201
    assert desk.get(f"/api/fit-ups/{first['id']}/").json()["replaced_by"] == better["id"]


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"gap": 1}, "gap"),
        ({"gap_mm": "wide"}, "gap_mm"),
        ({"gap_mm": 51}, "gap_mm"),
        ({"gap_12_mm": -1}, "gap_12_mm"),
        ({"gap_mm": True}, "gap_mm"),
        ({"date": "31.03.2026"}, "date"),
        ({"date": None}, "date"),
        ({"date": "2100-01-01"}, "date"),
        ({"time": "25:00"}, "time"),
        ({"time": "10:00+02:00"}, "time"),
        ({"time": "10:00\n"}, "time"),
        ({"attempt": "X"}, "attempt"),
        ({"tack_stamp": "Z9"}, "tack_stamp"),
        ({"joint_id": 7.5}, "joint_id"),
        ({"device_at": "0001-01-01T00:00:00+14:00"}, "device_at"),
        ({"by": "\ud800"}, "by"),
        ({"by": "a\x00b"}, "by"),
        ({"heat_a_read": "K" * 81}, "heat_a_read"),
    ],
)
def test_says_which_field_is_at_fault_and_what_is_accepted(
    desk: Client, joint: Joint, change: Body, field: str
) -> None:
    answer = send(desk, "fit-ups", common(joint, gap_mm=1.5875) | change)
    assert answer.status_code == 422, answer.content
    [error] = answer.json()["errors"]
    assert error["field"] == field
    assert error["message"] and error["accepted"]
    assert FitUp.objects.count() == 0


def test_says_in_a_list_which_record_is_at_fault(desk: Client, joint: Joint) -> None:
    answer = send(desk, "fit-ups", [common(joint), common(joint, gap_mm="wide")])
    assert [one["field"] for one in answer.json()["errors"]] == ["[1].gap_mm"]


@pytest.mark.parametrize("body", ["[]", "7", '"x"', "[7]", "null", "[[]]"])
def test_refuses_what_is_no_record(desk: Client, joint: Joint, body: str) -> None:
    answer = desk.post("/api/fit-ups/", body, content_type="application/json")
    assert answer.status_code == 422, answer.content


@pytest.mark.parametrize("body", ["{", "[" * 100_000, "\xff", "NaN"])
def test_refuses_what_is_no_json(desk: Client, joint: Joint, body: str) -> None:
    answer = desk.post("/api/fit-ups/", body.encode("latin-1"), content_type="application/json")
    assert answer.status_code == 400, answer.content
    assert answer["Content-Type"] == "application/problem+json"


def test_refuses_records_of_several_jobs_at_once(desk: Client, joint: Joint, engineer: User) -> None:
    other = JointBuilder()
    other.job.memberships.create(user=engineer, role="engineer")
    answer = send(desk, "fit-ups", [common(joint), common(other)])
    assert answer.status_code == 422
    assert "several jobs" in answer.json()["detail"]


def test_a_session_writes_only_with_its_token_against_forgery(engineer: User, joint: Joint) -> None:
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(engineer, backend="django.contrib.auth.backends.ModelBackend")
    assert send(browser, "fit-ups", common(joint)).status_code == 403
    assert FitUp.objects.count() == 0


def test_a_release_says_each_finding_that_stops_it(desk: Client, joint: Joint) -> None:
    welded(desk, joint, "rejected")
    answer = send(desk, "releases", common(joint, by="Ines Carrow"))
    assert answer.status_code == 422
    assert {one["field"] for one in answer.json()["errors"]} == {"joint_id"}


def test_each_attempt_is_told_with_the_decision_that_ended_it(desk: Client, joint: Joint) -> None:
    body, _ = to_send("repairs", desk, joint)
    send(desk, "repairs", body)
    rows = desk.get(f"/api/attempts/?joint_id={UUID(body['joint_id'])}").json()["results"]
    assert [(row["attempt"], row["is_current"], row["state"], row["decision"]) for row in rows] == [
        ("0", False, None, "repair"),
        ("R1", True, "planned", None),
    ]
