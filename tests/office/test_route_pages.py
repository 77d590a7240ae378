"""The pages of a route: written, looked at, applied; the cut list and the bill that follow."""

from typing import cast

import pytest
from django.test import Client
from django.urls import reverse

from records.models import Job, Joint, Route, Sheet
from tests.builders import MembershipBuilder, UserBuilder
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


def test_a_step_is_added_at_the_end(engineer: Client, scene: Scene) -> None:
    response = engineer.post(address(scene), {"text": "run north 4'\n", "do": "add", "item": "open end", "rest": ""})
    assert response.context["text"] == "run north 4'\nopen end\n"
    assert not response.context["faults"]


def test_enter_in_another_field_adds_nothing(engineer: Client, scene: Scene) -> None:
    sent = {"text": ROUTE, "do": "add", "item": "run", "rest": "", "reason": "revision B"}
    assert engineer.post(address(scene), sent).context["text"] == ROUTE


def test_what_was_shown_for_another_state_is_not_applied(engineer: Client, scene: Scene) -> None:
    status, page = send(engineer, scene, "apply", base="older", revision="B")
    assert status == 409
    assert "changed since this was shown" in page
    assert not Route.objects.exists()


def test_a_spool_over_the_transport_envelope_is_told(engineer: Client, scene: Scene) -> None:
    # From the flange north 4 ft, up 2 ft 6 in, east 3 ft: the longest side, north, is 48 in and half of the 1.315 in pipe.
    Job.objects.update(transport_envelope="4' x 4' x 4'")
    page = send(engineer, scene, "look")[1]
    assert "The longest side of spool 1-GL-2001-1A is 4&#x27; 11/16&quot;, over the 4&#x27; 0&quot;" in page
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
    assert "48 - flange-150" in page
    assert "rest 1 4&#x27; 0&quot; heat H-100" in page
    assert "fewer than 1 are not possible" in page
    refused = engineer.get(address(scene, "cut-list"), {"bar": "long"})
    assert refused.status_code == 422 and "is not a length" in refused.content.decode()


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
    assert "9&#x27; 2&quot;" in page and "elbow 90°, long radius" in page
