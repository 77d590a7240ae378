"""Webhooks on their pages and through the API: made once, the secret shown once, tried, sent again, ended."""

import re
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from office.actions.add_webhook import MOST, add_webhook
from office.calling import signing
from records.models import Job, User, Webhook, WebhookDelivery
from records.models.base import new_id
from records.refusals import Implausible
from tests.conftest import SignIn
from tests.hooked import webhook_rows

PAGE = "/jobs/HW-7/webhooks/"
ADDRESS = "https://hooks.example.com/spoolbook"


@pytest.fixture
def desk(administrator: User, sign_in: SignIn) -> Client:
    return sign_in(administrator)


def form(**own: Any) -> dict[str, Any]:
    return {"id": str(uuid4()), "address": ADDRESS, "kinds": ["records.written", "packages.built"], **own}


def test_is_made_once_and_its_secret_is_shown_once(desk: Client) -> None:
    sent = form()
    first, second = desk.post(PAGE, sent), desk.post(PAGE, sent)
    webhook = Webhook.objects.get()
    secret = signing.secret_of(webhook.salt)
    assert secret in first.content.decode()
    assert second.status_code == 200 and secret not in second.content.decode()
    [listed] = re.findall(r'data-label="told when">(.*?)</td>', desk.get(PAGE).text)
    assert listed.endswith("<br>a turnover package was built") and "packages.built" not in listed
    for page in (PAGE, f"{PAGE}{webhook.id}/"):
        assert secret not in desk.get(page).content.decode()


@pytest.mark.parametrize(
    ("own", "said"),
    [
        ({"address": "http://hooks.example.com/"}, "Only https"),
        ({"address": "https://127.0.0.1/"}, "no public address"),
        ({"address": "https://[fd00:ec2::254]/"}, "no public address"),
        ({"address": "https://nas.local/"}, "within a network"),
        ({"address": "hooks"}, "none that can be called"),
        ({"kinds": []}, "at least one kind"),
        ({"kinds": ["everything"]}, "everything"),
    ],
)
def test_what_can_not_be_called_is_refused_with_a_sentence(desk: Client, own: dict[str, Any], said: str) -> None:
    answer = desk.post(PAGE, form(**own))
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not Webhook.objects.exists()


def test_is_tried_given_a_new_secret_and_ended(desk: Client, job: Job) -> None:
    desk.post(PAGE, form())
    webhook = Webhook.objects.get()
    page = f"{PAGE}{webhook.id}/"
    before = signing.secret_of(webhook.salt)
    assert desk.post(page, {"deed": "try"}).status_code == 303
    assert "webhook.test" in desk.get(page).content.decode()
    answer = desk.post(page, {"deed": "secret"}).content.decode()
    webhook.refresh_from_db()
    after = signing.secret_of(webhook.salt)
    assert after in answer and before not in answer and after != before
    assert webhook.salt_before and webhook.before_until
    # It can't be undone: the button stands folded behind what it does.
    [folded] = re.findall(r"<details><summary>End it</summary>.*?</details>", desk.get(page).text, re.DOTALL)
    assert "can’t be begun again" in folded and folded.count('value="end"') == desk.get(page).text.count('value="end"')
    assert desk.post(page, {"deed": "end"}).status_code == 303
    shown = desk.get(page).content.decode()
    assert "Ended" in shown and 'value="try"' not in shown
    assert WebhookDelivery.objects.get().state == "given up"
    assert desk.post(page, {"deed": "try"}).status_code == 404
    assert desk.post(page, {"deed": "dance"}).status_code == 422


def test_the_log_shows_each_attempt_and_sends_again(desk: Client, job: Job, engineer: User) -> None:
    rows = webhook_rows(job, engineer)
    page = f"{PAGE}{rows['webhook']}/"
    shown = desk.get(page).content.decode()
    assert "given up" in shown and "Answered 500." in shown and "9 ms" in shown
    action = re.search(rf'action="({page}deliveries/[0-9a-f-]+/)"', shown)
    assert action
    assert desk.post(action[1]).status_code == 303
    delivery = WebhookDelivery.objects.get()
    assert (delivery.state, delivery.tries) == ("waiting", 0)
    assert "1 given up" not in desk.get(PAGE).content.decode()


def test_a_changed_key_of_the_site_is_told(desk: Client, job: Job, engineer: User) -> None:
    rows = webhook_rows(job, engineer)
    Webhook.objects.update(secret_sum="0" * 64)
    assert "key was changed" in desk.get(f"{PAGE}{rows['webhook']}/").content.decode()


def test_a_job_has_so_many_and_no_more(job: Job, engineer: User) -> None:
    for _ in range(MOST):
        add_webhook(new_id(), ADDRESS, ["records.written"], job=job, by=engineer)
    with pytest.raises(Implausible, match="end one"):
        add_webhook(new_id(), ADDRESS, ["records.written"], job=job, by=engineer)


def send(client: Client, path: str, body: Any = None) -> Any:
    return client.post(f"/api/{path}/", body, content_type="application/json")


def test_through_the_api_once_and_another_under_its_id_never(desk: Client, job: Job) -> None:
    body = {"id": str(uuid4()), "job": "HW-7", "address": ADDRESS, "kinds": ["records.written"]}
    first = send(desk, "webhooks", body)
    assert first.status_code == 201 and first.json()["secret"].startswith("whsec_")
    again = send(desk, "webhooks", body)
    assert (again.status_code, again.json()) == (200, first.json() | {"secret": None})
    for other in ({"address": ADDRESS + "2"}, {"kinds": ["packages.built"]}):
        clash = send(desk, "webhooks", body | other)
        assert (clash.status_code, clash["Content-Type"]) == (409, "application/problem+json")
    assert Webhook.objects.count() == 1
    read = desk.get(f"/api/webhooks/{body['id']}/").json()
    assert read == {name: value for name, value in first.json().items() if name != "secret"}


@pytest.mark.parametrize(
    ("own", "field"),
    [
        ({"address": "https://10.0.0.1/"}, "address"),
        ({"kinds": ["all"]}, "kinds"),
        ({"kinds": "records.written"}, "kinds"),
        ({"kinds": ["records.written", ""]}, "kinds"),
        ({"kinds": [None]}, "kinds"),
        ({"kinds": []}, "kinds"),
        ({"secret": "mine"}, "secret"),
        ({"id": "x"}, "id"),
    ],
)
def test_the_api_says_which_field_is_at_fault(desk: Client, job: Job, own: dict[str, Any], field: str) -> None:
    answer = send(
        desk, "webhooks", {"id": str(uuid4()), "job": "HW-7", "address": ADDRESS, "kinds": ["records.written"]} | own
    )
    assert answer.status_code == 422
    [fault] = answer.json()["errors"]
    assert fault["field"] == field and fault["message"] and fault["accepted"]


def test_every_deed_of_the_page_is_one_of_the_api(desk: Client, job: Job, engineer: User) -> None:
    rows = webhook_rows(job, engineer)
    hook, delivery = f"webhooks/{rows['webhook']}", f"webhook-deliveries/{rows['delivery']}"
    [listed] = desk.get(f"/api/webhook-deliveries/?job=HW-7&webhook_id={rows['webhook']}").json()["results"]
    assert (listed["state"], listed["tries"]) == ("given up", 1)
    assert [(one["status"], one["error"]) for one in listed["attempts"]] == [(500, "Answered 500.")]
    assert send(desk, f"{delivery}/send-again").json()["state"] == "waiting"
    assert send(desk, f"{hook}/try").json()["kind"] == "webhook.test"
    assert send(desk, f"{hook}/rotate").json()["secret"].startswith("whsec_")
    assert send(desk, f"{hook}/end").json()["ended_at"]
    for deed in (f"{hook}/try", f"{hook}/rotate", f"{hook}/end", f"{delivery}/send-again"):
        assert send(desk, deed).status_code == 404, deed
