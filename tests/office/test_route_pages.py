"""The pages of a route: written, looked at, applied; the cut list and the bill that follow."""

from time import perf_counter
from typing import cast

import pytest
from django.test import Client
from django.urls import reverse

from joints.actions.record_fit_ups import record_fit_ups
from office.forms.route_steps import rows_of, text_of
from office.views.route import _unlike
from records.models import FitUp, Job, Joint, Route, Sheet
from tests.builders import MembershipBuilder, UserBuilder, days_ago
from tests.records.scene import Scene, open_job, plan

pytestmark = pytest.mark.django_db
ROUTE = "ends socket\nflange 150\nrun north 4'\nelbow\nrun up 2' 6\"\nelbow\nrun east 3'\nopen end\n"


@pytest.fixture
def scene() -> Scene:
    return plan(*open_job(), joints=0)


@pytest.fixture
def engineer(client: Client, scene: Scene) -> Client:
    client.force_login(scene.engineer)
    return client


def address(scene: Scene, name: str = "route") -> str:
    sheet = Sheet.objects.get(job=scene.job)
    return reverse(name, args=[scene.job.code, sheet.pk if name == "route" else sheet.line_id])


def send(client: Client, scene: Scene, do: str, **said: str) -> tuple[int, str]:
    response = client.post(address(scene), {"text": ROUTE, "do": do, **said})
    return response.status_code, response.content.decode()


def look_and_apply(client: Client, scene: Scene) -> None:
    response = client.post(address(scene), {"text": ROUTE, "do": "look"})
    base = response.context["proposal"].base
    assert client.post(address(scene), {"text": ROUTE, "do": "apply", "base": base, "revision": "B"}).status_code == 303


def test_looking_writes_nothing_and_shows_what_comes(engineer: Client, scene: Scene) -> None:
    status, page = send(engineer, scene, "look")
    assert status == 200
    assert page.count('<td data-label="becomes">new</td>') == 5
    assert "<svg" in page and "3&#x27; 10-13/16&quot;" in page  # 46.815 in
    assert not Route.objects.exists() and not Joint.objects.exists()


def test_applied_it_stands_there(engineer: Client, scene: Scene) -> None:
    look_and_apply(engineer, scene)
    page = engineer.get(address(scene)).content.decode()
    assert "The route is applied: 5 joints on this sheet." in page
    assert "5 of them name no procedure yet" in page
    assert "revision B" in page
    assert reverse("joint", args=[scene.job.code, Joint.objects.get(number="3").pk]) in page
    line = engineer.get(address(scene, "line")).content.decode()
    assert address(scene) in line and address(scene, "cut-list") in line


def test_a_fault_is_told_at_its_line(engineer: Client, scene: Scene) -> None:
    response = engineer.post(address(scene), {"text": "run north 4'\nrun nort 3'", "do": "look"})
    page = response.content.decode()
    assert "Line 2, column 5" in page and "There is no direction &quot;nort&quot;" in page
    assert "run nort 3&#x27;\n    ^" in page
    assert 'value="apply"' not in page


def rows(text: str) -> dict[str, list[str]]:
    """A route's rows as the form sends them."""
    found = rows_of(text)
    return {name: [getattr(row, name) for row in found] for name in ("item", "rest", "note")}


@pytest.mark.parametrize(
    ("do", "becomes"),
    [
        ("insert 1", "size 1\nrun\nrun north 4'\nopen end\n"),
        ("insert 3", "size 1\nrun north 4'\nopen end\nrun\n"),
        ("delete 1", "run north 4'\nopen end\n"),
        ("up 2", "run north 4'\nsize 1\nopen end\n"),
        ("up 1", "size 1\nrun north 4'\nopen end\n"),
        ("down 1", "run north 4'\nsize 1\nopen end\n"),
        ("down 3", "size 1\nrun north 4'\nopen end\n"),
        ("delete 9", "size 1\nrun north 4'\nopen end\n"),
        ("look", "size 1\nrun north 4'\nopen end\n"),
    ],
)
def test_rows_are_inserted_deleted_and_moved(engineer: Client, scene: Scene, do: str, becomes: str) -> None:
    sent = rows("size 1\nrun north 4'\nopen end\n") | {"do": do}
    answer = engineer.post(address(scene), sent)
    assert answer.status_code == 200 and answer.context["text"] == becomes
    assert not Route.objects.exists()


def test_rows_are_edited_looked_at_and_applied(engineer: Client, scene: Scene) -> None:
    first = engineer.get(address(scene)).content.decode()
    assert 'name="rest"' in first and "<textarea" not in first
    look = engineer.post(address(scene), rows(ROUTE) | {"do": "look"})
    assert look.content.decode().count('<td data-label="becomes">new</td>') == 5
    sent = rows(ROUTE) | {"do": "apply", "base": look.context["proposal"].base, "revision": "B", "reason": "first"}
    assert engineer.post(address(scene), sent).status_code == 303
    assert Route.objects.get().text == ROUTE
    shown = engineer.get(address(scene))
    assert [row.item for row in shown.context["typed"].rows] == [row.item for row in rows_of(ROUTE)]


def test_a_fault_leads_to_its_row(engineer: Client, scene: Scene) -> None:
    page = engineer.post(address(scene), rows("run north 4'\nrun nort 3'\n") | {"do": "look"}).content.decode()
    assert '<a href="#rest-2">Line 2, column 5</a>' in page and 'id="rest-2"' in page


def test_text_and_rows_turn_into_each_other_with_what_was_typed(engineer: Client, scene: Scene) -> None:
    text = engineer.post(address(scene), rows("run north 4' ; along the wall\n") | {"do": "as text"})
    assert "<textarea" in text.content.decode() and text.context["text"] == "run north 4'  ; along the wall\n"
    back = engineer.post(address(scene), {"text": text.context["text"], "do": "as steps"})
    assert back.context["typed"].rows == tuple(rows_of(text.context["text"]))
    assert "<textarea" in engineer.get(address(scene), {"as": "text"}).content.decode()


def test_a_step_typed_out_whole_beside_another_is_the_one_typed(engineer: Client, scene: Scene) -> None:
    # A row comes as a run. What its own step can read stays with it: a valve may be called as a step is.
    sent = {"item": ["run", "run", "valve", ""], "rest": ["elbow 90", "north 4'", "cap length 8 in", "open end"]}
    answer = engineer.post(address(scene), sent | {"note": ["shop", "", "", ""], "do": "look"})
    assert answer.context["text"] == "elbow 90  ; shop\nrun north 4'\nvalve cap length 8 in\nopen end\n"


@pytest.mark.parametrize("text", ["", " \n\n", "start at E 0 N 0 EL 0", "; a note"])
def test_a_route_without_pipe_is_a_fault_until_there_are_joints_to_take_back(
    engineer: Client, scene: Scene, text: str
) -> None:
    look = engineer.post(address(scene), {"text": text, "do": "look"})
    told = "Line 1, column 1</a>: The route has no pipe and no fitting yet, for example: run north 4&#x27; 6&quot;."
    assert told in look.content.decode() and 'value="apply"' not in look.content.decode()
    sent = {"text": text, "do": "apply", "base": look.context["proposal"].base, "revision": "B", "reason": "none"}
    assert engineer.post(address(scene), sent).status_code == 422 and not Route.objects.exists()
    look_and_apply(engineer, scene)
    page = engineer.post(address(scene), {"text": text, "do": "look"}).content.decode()
    assert page.count('<td data-label="becomes">withdrawn</td>') == 5 and 'value="apply"' in page


def test_more_steps_than_rows_can_hold_are_typed_as_text_and_it_is_said(engineer: Client, scene: Scene) -> None:
    text = "support\n" * 300 + "open end\n"
    page = engineer.post(address(scene), {"text": text, "do": "as steps"}).content.decode()
    assert "A route of more than 300 steps is typed as text." in page and "Show it as rows" not in page
    grown = engineer.post(address(scene), rows("support\n" * 300) | {"do": "insert 1"})
    assert grown.context["typed"].rows is None and grown.context["text"].count("\n") == 301


def test_after_it_is_applied_the_page_leads_on(engineer: Client, scene: Scene) -> None:
    look_and_apply(engineer, scene)
    page = engineer.get(address(scene)).content.decode()
    assert (
        f'<a href="{reverse("procedures", args=[scene.job.code])}">the page of a procedure</a> gives it to them' in page
    )
    assert address(scene, "spool-sheets-pdf") in page


def test_a_branch_keeps_its_indent_and_a_misspelt_step_its_words() -> None:
    text = "run north 4'\ntee\n  branch west\n    run west 1'\n    cap\n    end branch\nrunn north 3\n; only a note\n"
    made = text_of(rows_of(text))
    assert [line.strip() for line in made.splitlines()] == [line.strip() for line in text.splitlines()]
    assert text_of(rows_of(made)) == made
    assert [row.depth for row in rows_of(text)] == [0, 0, 0, 1, 1, 1, 0, 0]


def test_what_was_shown_for_another_state_is_not_applied(engineer: Client, scene: Scene) -> None:
    status, page = send(engineer, scene, "apply", base="older", revision="B")
    assert status == 409
    assert "changed since this was shown" in page
    assert not Route.objects.exists()


def test_who_revises_what_another_has_revised_sees_what_would_be_taken_away(engineer: Client, scene: Scene) -> None:
    look_and_apply(engineer, scene)
    first, second = ROUTE.replace("4'", "5'"), ROUTE.replace("east 3'", "east 2'")
    bases = [
        engineer.post(address(scene), {"text": one, "do": "look"}).context["proposal"].base for one in (first, second)
    ]
    said = {"do": "apply", "revision": "C", "reason": "moved"}
    assert engineer.post(address(scene), said | {"text": first, "base": bases[0]}).status_code == 303
    late = engineer.post(address(scene), said | {"text": second, "base": bases[1]})
    assert late.status_code == 409 and late.context["unlike"] == ["run north 5'", "run east 3'"]
    assert "run north 5&#x27;\nrun east 3&#x27;\n</pre>" in late.content.decode()
    assert Route.objects.get().text == first


def test_a_long_route_that_differs_in_every_line_is_told_at_once() -> None:
    stands, typed = ("\n".join(f"run north {length}" for length in range(first, 4000, 3)) for first in (1000, 1001))
    began = perf_counter()
    assert _unlike(Route(text=stands), typed) == stands.splitlines()
    assert _unlike(Route(text=stands), stands) == _unlike(None, typed) == []
    assert perf_counter() - began < 5, "it takes minutes where lines are looked into"


def test_a_pipe_of_another_length_is_told_before_it_is_applied(engineer: Client, scene: Scene) -> None:
    look_and_apply(engineer, scene)
    joint = Joint.objects.get(job=scene.job, number="3")
    record_fit_ups([FitUp(joint=joint, done_on=days_ago(2), by="A1")], job=scene.job, by=scene.engineer)
    text = ROUTE.replace("4'", "5'").replace("2' 6\"", "2' 8\"")
    page = engineer.post(address(scene), {"text": text, "do": "look"}).content.decode()
    # NPS 1: 30 in - 2 x 0.88 - 2 x 1/16 = 28.115 in, 2 in more, to the next 1/16; the flange's pipe a foot more.
    told = "is cut to 2&#x27; 6-1/8&quot; instead of 2&#x27; 4-1/8&quot;, and work is done on it: joint 3 fitted."
    assert f'<p class="out">Pipe {joint.piece_b.mark} {told}</p>' in page
    assert "is cut to 4&#x27; 10-13/16&quot; instead of 3&#x27; 10-13/16&quot;.</p>" in page
    refused = engineer.post(address(scene), {"text": text, "do": "apply", "base": "x", "revision": "C", "reason": ""})
    assert refused.status_code == 409


def test_why_is_asked_with_a_way_to_its_field(engineer: Client, scene: Scene) -> None:
    look_and_apply(engineer, scene)
    text = ROUTE.replace("4'", "5'")
    base = engineer.post(address(scene), {"text": text, "do": "look"}).context["proposal"].base
    answer = engineer.post(address(scene), {"text": text, "do": "apply", "base": base, "revision": "C", "reason": ""})
    assert answer.status_code == 422
    assert '<a href="#reason">Write why the joints change.</a>' in answer.content.decode()


def test_a_spool_over_the_transport_envelope_is_told(engineer: Client, scene: Scene) -> None:
    # From the flange north 4 ft, up 2 ft 6 in, east 3 ft: the longest side, north, is 48 in and half of the 1.315 in pipe.
    Job.objects.update(transport_envelope="4' x 4' x 4'")
    page = send(engineer, scene, "look")[1]
    assert "The longest side of spool 1-GL-2001-1A is 4&#x27; 0-11/16&quot;, over the 4&#x27; 0&quot;" in page
    Job.objects.update(transport_envelope="5' x 4' x 4'")
    assert "longest side" not in send(engineer, scene, "look")[1]


def test_a_reader_sees_the_route_and_no_form(engineer: Client, scene: Scene) -> None:
    look_and_apply(engineer, scene)
    client = UserBuilder.create()
    MembershipBuilder.create(job=scene.job, user=client, role="client")
    engineer.force_login(client)
    page = engineer.get(address(scene)).content.decode()
    assert "run north 4&#x27;" in page and "<textarea" not in page
    assert engineer.post(address(scene), {"text": ROUTE, "do": "look"}).status_code == 403


def test_cut_list_and_plan(engineer: Client, scene: Scene) -> None:
    look_and_apply(engineer, scene)
    page = engineer.get(address(scene, "cut-list"), {"bar": "10'", "rests": "4' H-100"}).content.decode()
    assert "48 - Class 150 flange" in page
    assert "rest 1, 4&#x27; 0&quot;, heat H-100" in page
    assert "fewer than 1 are not possible" in page
    refused = engineer.get(address(scene, "cut-list"), {"bar": "long"})
    assert refused.status_code == 422
    assert "Length of a bar: &quot;long&quot; is not a length" in refused.content.decode()
    wide = engineer.get(address(scene, "cut-list"), {"bar": "20'", "kerf": "3'", "usable": "12 in", "rests": ""})
    assert "Kerf of the saw: 3&#x27; 0&quot; is no saw&#x27;s; accepted are up to 1&quot;." in wide.content.decode()


@pytest.mark.parametrize(("name", "said"), [("bill-csv", "flange, socket welding"), ("cut-list-csv", "NPS 1 Sch 80")])
def test_lists_as_files(engineer: Client, scene: Scene, name: str, said: str) -> None:
    look_and_apply(engineer, scene)
    sent = engineer.get(address(scene, name))
    assert said in b"".join(cast("list[bytes]", list(sent.streaming_content))).decode()  # type: ignore[attr-defined]


def test_bill_of_the_line(engineer: Client, scene: Scene) -> None:
    assert "No sheet of this line has a route yet" in engineer.get(address(scene, "bill")).content.decode()
    look_and_apply(engineer, scene)
    page = engineer.get(address(scene, "bill")).content.decode()
    # 46.815 + (30 - 2 x 0.88 - 1/8) + (36 - 0.88 - 1/16) = 46.815 + 28.115 + 35.0575 = 109.9875 in, 9' 2"
    assert "9&#x27; 2&quot;" in page and ">elbow 90°<" in page


def test_what_has_no_route_is_said_to_be_left_out(engineer: Client, scene: Scene) -> None:
    look_and_apply(engineer, scene)
    routed = Sheet.objects.get(job=scene.job)
    bill, cuts = address(scene, "bill"), address(scene, "cut-list")
    page = engineer.get(bill).content.decode()
    assert "The whole line" in page and "for want of a route" not in page + engineer.get(cuts).content.decode()
    bare = Sheet.objects.create(job=scene.job, line=routed.line, drawing="ISO-2002", number="1", revision="0")
    for page in (engineer.get(bill).content.decode(), engineer.get(cuts).content.decode()):
        assert "Not counted, for want of a route" in page and "The whole line" not in page
        assert reverse("route", args=[scene.job.code, bare.pk]) in page
