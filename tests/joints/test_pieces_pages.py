"""The pages of pieces and heats: found, told with their life, recorded on, and mended."""

from typing import Any

import pytest
from django.test import Client

from joints.actions.cut_piece import cut_piece
from joints.actions.record_piece_events import record_piece_events
from records.models import Joint, Piece, PieceEvent, User, Withdrawal
from records.models.base import new_id
from tests.builders import JointBuilder, PieceBuilder, days_ago
from tests.conftest import SignIn


@pytest.fixture
def piece(joint: Joint) -> Piece:
    """Piece 3, side A of joint 14."""
    piece = PieceBuilder(sheet=joint.sheet, mark="3", heat=joint.heat_a)
    Joint.objects.filter(id=joint.id).update(piece_a=piece)
    return piece


def url(piece: Piece, more: str = "") -> str:
    return f"/jobs/{piece.job.code}/pieces/{piece.id}/{more}"


def event(piece: Piece, kind: str, **more: Any) -> PieceEvent:
    return PieceEvent(**{"piece": piece, "event": kind, "done_on": days_ago(1), "by": "Store"} | more)


def sent(piece: Piece, kind: str, **more: str) -> dict[str, str]:
    return {"id": str(new_id()), "event": kind, "date": days_ago(0).isoformat(), "by": "Store"} | more


def shown(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200
    return answer.content.decode()


def test_the_list_finds_by_line_state_and_heat(piece: Piece, foreman: User, sign_in: SignIn) -> None:
    other = PieceBuilder(sheet=piece.sheet, mark="10")
    record_piece_events([event(piece, "on hold", remark="Paper missing")], job=piece.job, by=foreman)
    client, address = sign_in(foreman), f"/jobs/{piece.job.code}/pieces/"

    def marks(query: str) -> list[str]:
        return [line.row.mark for line in client.get(f"{address}?{query}").context["lines"]]

    assert marks("") == ["3", "10"], "3 stands before 10"
    assert marks("state=on hold") == marks(f"heat={piece.heat.number}") == ["3"]  # type: ignore[union-attr]
    assert marks(f"line={piece.sheet.line.number}") == ["3", "10"]
    assert marks("line=nowhere") == marks("state=molten") == []
    assert "No piece matches." in shown(client, f"{address}?state=split")
    page = shown(client, address)
    assert url(other) in page and f"/joints/{Joint.objects.get(number='14').id}/" in page


def test_an_empty_list_says_where_pieces_come_from(joint: Joint, foreman: User, sign_in: SignIn) -> None:
    assert "they come with the workbook’s sheet Components" in shown(
        sign_in(foreman), f"/jobs/{joint.job.code}/pieces/"
    )


def test_a_piece_tells_its_descent_its_joints_and_what_happened(piece: Piece, foreman: User, sign_in: SignIn) -> None:
    whole = PieceBuilder(sheet=piece.sheet, mark="P1")
    cut_piece(event(whole, "cut", mark_transferred=False), ["3", "P1X"], job=piece.job, by=foreman)
    client = sign_in(foreman)
    part = shown(client, url(piece))
    assert f'Cut from</dt><dd><a href="{url(whole)}">piece P1</a>' in part
    assert "heat number not transferred" in part and "Cut from piece P1" in part
    assert [line.row.number for line in client.get(url(piece)).context["lines"]] == ["14"]
    length = shown(client, url(whole))
    assert f'<a href="{url(piece)}">piece 3</a> (cut to size' in length and "piece P1X" in length


@pytest.mark.parametrize(("who", "may"), [("foreman", False), ("inspector", True), ("owner", False)])
def test_the_next_thing_to_record_is_offered_to_whoever_may(
    piece: Piece, foreman: User, inspector: User, owner: User, sign_in: SignIn, who: str, may: bool
) -> None:
    record_piece_events([event(piece, "on hold", remark="Paper missing")], job=piece.job, by=foreman)
    page = shown(sign_in({"foreman": foreman, "inspector": inspector, "owner": owner}[who]), url(piece))
    assert ("Take off hold" in page) == may
    assert ("record/?event=scrapped" in page) == (who != "owner")


def test_a_cut_is_recorded_from_the_form_once(piece: Piece, welder: User, sign_in: SignIn) -> None:
    client, data = sign_in(welder), sent(piece, "cut", parts="4, 3X", mark_transferred="yes", length="2 ft")
    for _ in range(2):
        answer = client.post(url(piece, "record/"), data)
        assert (answer.status_code, answer["Location"]) == (303, url(piece))
    assert set(PieceEvent.objects.values_list("part__mark", "mark_transferred")) == {("4", True), ("3X", True)}
    # 2 ft is 609.6 mm.
    assert {float(one.length_mm or 0) for one in PieceEvent.objects.all()} == {609.6}


@pytest.mark.parametrize(
    ("data", "says"),
    [
        ({"event": "cut", "parts": "4"}, "Heat number transferred to each part: this is missing."),
        ({"event": "cut", "parts": "3", "mark_transferred": "yes"}, "be cut from itself"),
        ({"event": "on hold"}, "Why: this is missing."),
        ({"event": "returned", "length": "long"}, "is not a length"),
        ({"event": "issued", "date": "2126-01-01"}, "is in the future"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_recorded(
    piece: Piece, welder: User, sign_in: SignIn, data: dict[str, str], says: str
) -> None:
    answer = sign_in(welder).post(url(piece, "record/"), sent(piece, **{"kind": data["event"]} | data))
    assert answer.status_code == 422
    assert says in answer.content.decode().replace("&#x27;", "'")
    assert not PieceEvent.objects.exists()


def test_lifting_a_hold_without_the_right_is_refused(piece: Piece, foreman: User, sign_in: SignIn) -> None:
    record_piece_events([event(piece, "on hold", remark="Paper missing")], job=piece.job, by=foreman)
    answer = sign_in(foreman).post(url(piece, "record/"), sent(piece, "off hold", remark="Paper came"))
    assert answer.status_code == 403
    assert PieceEvent.objects.count() == 1


def test_taking_off_hold_names_each_hold_that_it_lifts_and_keeps_it(
    piece: Piece, inspector: User, sign_in: SignIn
) -> None:
    holds = [event(piece, "on hold", remark=why) for why in ("Paper missing", "Dent")]
    record_piece_events(holds, job=piece.job, by=inspector)
    day, client, form = days_ago(1), sign_in(inspector), url(piece, "record/")
    lifted = f"Lifts the holds of {day} (Paper missing) and of {day} (Dent)."
    assert lifted in shown(client, f"{form}?event=off+hold")
    assert client.post(form, sent(piece, "off hold", remark="")).status_code == 422
    assert client.post(form, sent(piece, "off hold", remark=f"{lifted} Paper came.")).status_code == 303
    piece.refresh_from_db()
    assert piece.state == "planned" and f"{lifted} Paper came." in shown(client, url(piece))


def test_a_record_is_corrected_and_withdrawn_and_stays_to_be_seen(
    piece: Piece, inspector: User, sign_in: SignIn
) -> None:
    [first] = record_piece_events([event(piece, "issued", place="Bay 1")], job=piece.job, by=inspector)
    client = sign_in(inspector)
    form = shown(client, url(piece, f"record/?replaces={first.id}"))
    assert 'value="Bay 1"' in form and "What was wrong" in form
    data = sent(piece, "issued", place="Bay 2", replaces=str(first.id), reason="The other bay")
    assert client.post(url(piece, "record/"), data).status_code == 303
    latest = PieceEvent.objects.get(replaces=first)
    away = f"/jobs/{piece.job.code}/piece-events/{latest.id}/withdraw/"
    assert "Issued" in shown(client, away)
    assert client.post(away, {"id": str(new_id()), "reason": "Never left the store"}).status_code == 303
    assert Withdrawal.objects.get().record == latest.id
    page = shown(client, url(piece))
    assert "The other bay" in page and "Never left the store" in page and "no record" in page


def test_a_heat_is_found_from_its_pieces_to_its_lines(piece: Piece, foreman: User, sign_in: SignIn) -> None:
    heat = piece.heat
    assert heat is not None
    away = JointBuilder(number="77", sheet__line__job=piece.job, heat_b=heat)
    client = sign_in(foreman)
    page = client.get(f"/jobs/{piece.job.code}/heats/{heat.id}/").context["page"]
    assert [row.mark for row in page.pieces] == ["3"]
    assert {row.number for row in page.joints} == {"14", "77"}
    assert {spool.id for spool in page.spools} == {away.spool_id, Joint.objects.get(number="14").spool_id}
    assert {number: tally.joints for _, number, tally in page.lines} == {
        piece.sheet.line.number: 1, away.line.number: 1,
    }  # fmt: skip


def test_a_joint_leads_to_both_heats_with_their_certificates(
    piece: Piece, joint: Joint, foreman: User, sign_in: SignIn
) -> None:
    record_piece_events([event(piece, "on hold", remark="Paper missing")], job=piece.job, by=foreman)
    page = shown(sign_in(foreman), f"/jobs/{piece.job.code}/joints/{joint.id}/")
    for heat in (joint.heat_a, joint.heat_b):
        assert heat is not None and heat.certificate is not None
        assert f"/heats/{heat.id}/" in page and heat.certificate.number in page
    assert url(piece) in page and '<b class="out">on hold</b>' in page
