"""The calculators' pages without any script: what they ask, answer, refuse and print."""

import re
from html import unescape
from html.parser import HTMLParser
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from records.models import Confirmation, Job, Membership, User
from rules.calculators.described import DESCRIBED, GROUPS
from rules.compute import CALCULATORS, compute
from tests.conftest import SignIn
from tests.reports.papers import texts
from tests.rules.test_compute import EXAMPLES


@pytest.fixture
def person(foreman: User, sign_in: SignIn) -> Client:
    return sign_in(foreman)


class Ids(HTMLParser):
    """The ids of a page, and what its labels and descriptions point to."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.named: set[str] = set()
        self.invalid: list[str] = []
        self.asked: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        known = dict(attrs)
        self.ids += [known["id"]] if known.get("id") else []
        pointers = (known.get("for") or "", known.get("aria-describedby") or "", known.get("aria-labelledby") or "")
        self.named |= set(" ".join(pointers).split())
        if tag in ("input", "select") and known.get("name") not in (None, "units", "job", "csrfmiddlewaretoken"):
            self.asked.append(known["name"] or "")
        if known.get("aria-invalid") == "true":
            self.invalid.append(known["name"] or "")


def page(person: Client, name: str, status: int = 200, **values: str) -> str:
    response = person.get(f"/calculators/{name}/", values)
    assert response.status_code == status, response.content.decode()
    text: str = response.content.decode()
    told = Ids(text)
    assert len(told.ids) == len(set(told.ids)), "an id stands twice on the page"
    assert told.named <= set(told.ids), "a label or description points to nothing"
    assert "style=" not in text and "<script>" not in text
    return text


def words(text: str) -> str:
    """What stands on a page, white space made single."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", text)).split()).replace(" :", ":")


def answer_of(text: str) -> str:
    return words(text[text.index('id="answer"') :])


def test_the_list_has_every_calculator_in_its_group(person: Client) -> None:
    text = person.get("/calculators/").content.decode()
    for name in CALCULATORS:
        assert text.count(f'href="/calculators/{name}/"') == 1
    places = [text.index(f">{group}</h2>") for group in GROUPS]
    assert places == sorted(places)


@pytest.mark.parametrize("name", CALCULATORS)
@pytest.mark.parametrize("units", ["US", "SI"])
def test_each_page_answers_its_example_without_script(name: str, units: str, person: Client) -> None:
    about = DESCRIBED[name]
    text = page(person, name, units=units, **about.example)
    told = compute(name, about.example, units=units)
    said = answer_of(text)
    for step in told["steps"]:
        assert " ".join(step.split()) in said
    for note in told["notes"]:
        assert note in said
    assert told["source"]["code"] in said
    assert f"/calculators/{name}.pdf?" in text and f"/api/compute/{name}/?" in text
    assert 'id="faults"' not in text


@pytest.mark.parametrize("name", CALCULATORS)
def test_each_page_asks_every_key_and_says_which_are_needed(name: str, person: Client) -> None:
    text = page(person, name)
    one = CALCULATORS[name]
    asked = Ids(text).asked
    assert asked[: len(one.required)] == list(one.required)
    assert sorted(asked) == sorted([*one.required, *one.optional])
    assert text.count(">needed<") == len(one.required)
    assert "Show an example" in text and 'id="faults"' not in text


@pytest.mark.parametrize(
    ("name", "changes", "field", "said"),
    [
        ("cut-length", {"centre": "500 kg"}, "centre", 'Centre to centre: "500 kg" is not a length; accepted are 1/8 in'),
        ("thermal-growth", {"to": "300 mm"}, "to", 'To: "300 mm" is not a temperature; accepted are 200 F'),
        ("pipe", {"nps": "1-3/4"}, "nps", 'Nominal size: There is no pipe size "1-3/4"; accepted are DN 40, DN 50'),
        ("pipe", {"schedule": "85"}, "schedule", 'Schedule: DN 25 has no schedule "85"; accepted are 80'),
        ("certificate-check", {"material": "A106 Gr D"}, "material", 'no table for "A106 Gr D"; accepted are A106 Gr B'),
        ("throat", {"leg1": "-6"}, "leg1", 'Leg on the pipe: "-6" is negative'),
        ("cut-length", {"nps": "4", "class": "6000"}, "class", 'DN 100 of class "6000"; accepted are 3000'),
        ("preheat", {"edition": "2017"}, "edition", 'Edition: there is no "2017"; accepted are 2016, 2018'),
        ("continuity", {"last_used": "31/03/2026"}, "last_used", '"31/03/2026" is no date'),
    ],
)  # fmt: skip
def test_a_wrong_value_is_kept_named_at_its_field_and_in_the_summary(
    name: str, changes: dict[str, str], field: str, said: str, person: Client
) -> None:
    text = page(person, name, 422, **EXAMPLES[name] | changes)
    assert Ids(text).invalid == [field]
    assert said in answer_of(text)
    assert re.search(rf'<p class="error" id="id_{field}_error"[^>]*>[^<]+</p>', text)
    assert f'<a href="#id_{field}">' in text
    assert re.search(r'id="faults" tabindex="-1" autofocus', text)
    typed = changes[field]
    assert f'value="{typed}"' in text, "what was typed is lost"


def test_an_empty_field_is_told_by_its_label_and_the_others_are_kept(person: Client) -> None:
    text = page(person, "pipe", 422, nps="1-1/2", schedule="")
    assert "Still needed: Schedule." in answer_of(text)
    assert '<option value="1-1/2" selected>DN 40 · NPS 1-1/2</option>' in text


def test_what_does_not_fit_is_said_and_no_field_is_blamed(person: Client) -> None:
    text = page(person, "cut-length", 422, **EXAMPLES["cut-length"] | {"centre": "40 mm"})
    assert "The pipe does not fit: 8.0 mm short, 30.0 mm until" in answer_of(text)
    assert Ids(text).invalid == []


def test_while_somebody_types_what_is_still_empty_is_no_fault(person: Client) -> None:
    response = person.get("/calculators/pipe/", {"nps": "1"}, headers={"X-Typing": "1"})
    assert response.status_code == 200
    text = response.content.decode()
    assert "Still needed: Schedule" in answer_of(text) and 'id="faults"' not in text
    wrong = person.get("/calculators/pipe/", {"nps": "1-3/4"}, headers={"X-Typing": "1"}).content.decode()
    assert 'id="faults"' in wrong and "autofocus" not in wrong, "nobody's focus is taken while they type"


def test_a_hostile_value_is_shown_as_text(person: Client) -> None:
    text = page(person, "pipe", 422, nps='"><script>alert(1)</script>', schedule="80")
    assert "<script>alert" not in text


def test_an_unknown_calculator_answers_404_with_the_nearest_name(person: Client) -> None:
    response = person.get("/calculators/cutlength/")
    assert response.status_code == 404
    assert "there are cut-length" in response.content.decode()


def test_of_a_job_units_edition_and_way_round_are_kept(person: Client, job: Job) -> None:
    job.units, job.edition = "US", "2014"
    job.save()
    text = page(person, "preheat", job="HW-7", p="4", thickness="1/2")
    assert "HW-7" in text and 'aria-label="Pages of the job"' in text
    assert "Thickness (in)" in words(text)
    assert "250 °F" in answer_of(text)  # ASME B31.3-2014 Table 330.1.1, P-4: 120 °C (250 °F)
    assert "ASME B31.3-2014 Table 330.1.1" in answer_of(text)
    assert "job=HW-7" in text[text.index("calculators/preheat.pdf") :][:200]
    listed = person.get("/calculators/?job=HW-7").content.decode()
    assert 'href="/calculators/pipe/?job=HW-7"' in listed
    menu = person.get("/jobs/HW-7/").content.decode()
    assert 'href="/calculators/?job=HW-7"' in menu


def test_a_foreign_job_is_as_one_that_does_not_exist(person: Client, other_job: Job) -> None:
    for path in ("/calculators/", "/calculators/pipe/", "/calculators/pipe.pdf"):
        ask = {"nps": "1", "schedule": "80"} if "pipe" in path else {}
        assert person.get(path, {**ask, "job": other_job.code}).status_code == 404
        assert person.get(path, {**ask, "job": "NONE-1"}).status_code == 404


def confirm(job: Job, by: User, table: str, **more: Any) -> Confirmation:
    return Confirmation.objects.create(
        job=job, recorded_by=by, recorded_at=timezone.now(), table=table, edition="2018",
        done_on="2026-03-02", by="Edda Mroz", **more,
    )  # fmt: skip


def test_a_table_says_who_confirmed_it_on_the_job_or_that_nobody_did(person: Client, job: Job, engineer: User) -> None:
    ask = {"nps": "1", "schedule": "80", "class": "3000"}
    assert "pipe, socket fittings: unconfirmed, as no job is chosen" in answer_of(page(person, "socket-leg", **ask))
    on_job = ask | {"job": "HW-7"}
    assert "pipe, socket fittings: unconfirmed" in answer_of(page(person, "socket-leg", **on_job))
    taken_back = confirm(job, engineer, "pipe")
    confirm(job, engineer, "socket_fittings", row="1 3000")
    said = answer_of(page(person, "socket-leg", **on_job))
    assert "pipe: confirmed by Edda Mroz, 2026-03-02, edition 2018" in said
    assert "socket fittings, 1 3000: confirmed by Edda Mroz, 2026-03-02, edition 2018" in said
    assert "socket fittings: unconfirmed" in said, "one row is not the table"
    Confirmation.objects.create(
        job=job, recorded_by=engineer, recorded_at=timezone.now(), table="pipe", edition="2018", done_on="2026-03-03",
        by="Edda Mroz", replaces=taken_back, is_withdrawn=True,
    )  # fmt: skip
    assert "pipe, socket fittings: unconfirmed" in answer_of(page(person, "socket-leg", **on_job))


@pytest.mark.parametrize(
    ("name", "words_of_caution"),
    [
        ("test-pressure", "exclusion zone"), ("heat-treatment", "Heat treatment burns"), ("preheat", "fire watch"),
        ("heat-input", "electric shock"), ("cut-length", "Cutting and grinding"),
    ],
)  # fmt: skip
def test_where_it_can_hurt_the_usual_caution_stands_on_page_and_paper(
    name: str, words_of_caution: str, person: Client
) -> None:
    ask = dict(DESCRIBED[name].example)
    assert words_of_caution in answer_of(page(person, name, **ask))
    assert words_of_caution in texts(person.get(f"/calculators/{name}.pdf", ask).content)[0]


@pytest.mark.parametrize("name", CALCULATORS)
def test_each_answer_prints_on_one_page_with_what_the_page_says(name: str, person: Client, job: Job) -> None:
    ask = {**DESCRIBED[name].example, "job": "HW-7"}
    response = person.get(f"/calculators/{name}.pdf", ask)
    assert (response.status_code, response["Content-Type"]) == (200, "application/pdf")
    assert f'filename="HW-7-{name}.pdf"' in response["Content-Disposition"]
    (printed,) = texts(response.content)
    told = compute(name, DESCRIBED[name].example, units="US")
    assert CALCULATORS[name].title in printed and "1 of 1" in printed and "HW-7" in printed
    assert "Frida Holm" in printed and "does not replace the code of record" in printed
    for words_told in (*told["steps"], *told["notes"], told["source"]["code"]):
        assert squeezed(words_told) in squeezed(printed)


def squeezed(text: str) -> str:
    """Without white space: a paper breaks its lines where it must."""
    return "".join(text.split())


def test_what_can_not_be_computed_is_not_printed_but_said(person: Client) -> None:
    response = person.get("/calculators/pipe.pdf", {"nps": "1", "schedule": "85"})
    assert response.status_code == 422
    assert "DN 25 has no schedule" in unescape(response.content.decode())


@pytest.mark.parametrize("name", ["pipe", "cut-length", "socket-leg", "flange-leg", "throat", "insertion"])
def test_a_drawing_stands_beside_the_answer(name: str, person: Client) -> None:
    text = page(person, name, **DESCRIBED[name].example)
    assert f"<title>{CALCULATORS[name].title}, drawn to scale</title>" in text


@pytest.mark.parametrize("name", ["gap-round", "crooked-cut", "stop-spacing"])
def test_what_lies_round_the_pipe_is_sketched(name: str, person: Client) -> None:
    text = page(person, name, **DESCRIBED[name].example)
    assert f"<title>{CALCULATORS[name].title}, sketched round the clock</title>" in text


def test_continuity_is_asked_as_of_today_on_the_page_too(person: Client) -> None:
    assert "lapsed" in answer_of(page(person, "continuity", last_used="2001-01-31"))


def test_the_list_of_jobs_leads_to_the_calculators(sign_in: SignIn, visitor: User, job: Job) -> None:
    from_start = sign_in(visitor)
    Membership.objects.create(job=job, user=visitor, role="welder")
    assert 'href="/calculators/"' in from_start.get("/").content.decode()


def test_a_page_costs_sign_in_job_roles_and_confirmations(person: Client, django_assert_num_queries: Any) -> None:
    ask = {"nps": "1", "schedule": "80"}
    person.get("/calculators/pipe/", ask)
    with django_assert_num_queries(2):
        person.get("/calculators/pipe/", ask)
    with django_assert_num_queries(5):
        person.get("/calculators/pipe/", ask | {"job": "HW-7"})
