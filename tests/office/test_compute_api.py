"""The calculators as an API: the same figures as by the function, and every refusal as a problem with its field."""

import json
from typing import Any

import pytest
from django.test import Client

from records.models import Job, User
from rules.calculators.described import DESCRIBED
from rules.compute import CALCULATORS, compute
from tests.builders import JobBuilder, MembershipBuilder, UserBuilder
from tests.conftest import SignIn
from tests.published.rows import asked_by
from tests.published.test_checks import CHECKS, ROWS
from tests.rules.test_compute import EXAMPLES

PROBLEM = "application/problem+json"


@pytest.fixture
def program(foreman: User, sign_in: SignIn) -> Client:
    return sign_in(foreman)


def ask(program: Client, name: str, **values: str) -> dict[str, Any]:
    response = program.get(f"/api/compute/{name}/", values)
    assert response.status_code == 200, response.content
    assert response["Content-Type"].startswith("application/json")
    found: dict[str, Any] = json.loads(response.content)
    return found


def refused(program: Client, name: str, status: int = 422, **values: str) -> dict[str, Any]:
    response = program.get(f"/api/compute/{name}/", values)
    assert response.status_code == status, response.content
    assert response["Content-Type"] == PROBLEM
    found: dict[str, Any] = json.loads(response.content)
    assert {"type", "title", "status", "detail", "errors"} == set(found)
    assert found["status"] == status
    return found


def test_every_published_value_is_met_through_the_api(program: Client) -> None:
    def way(name: str, values: dict[str, str]) -> dict[str, Any]:
        return ask(program, name, **values)

    with asked_by(way):
        for row in ROWS:
            CHECKS[row["topic"]](row)


@pytest.mark.parametrize("name", CALCULATORS)
@pytest.mark.parametrize("units", ["US", "SI"])
def test_each_calculator_answers_as_the_function_does(name: str, units: str, program: Client) -> None:
    for example in (EXAMPLES[name], DESCRIBED[name].example):
        told = ask(program, name, units=units, **example)
        assert list(told) == ["name", "inputs", "result", "steps", "source", "notes"]
        # Asked again as it was asked: of continuity the day of today has been added.
        assert told == compute(name, told["inputs"], units=units)


def test_a_jobs_units_and_edition_hold_unless_others_are_named(program: Client, job: Job) -> None:
    job.units, job.edition = "US", "2014"
    job.save()
    assert ask(program, "throat", job="HW-7", leg1="1/4", leg2="1/4")["result"]["size_mm"] == 6.35
    assert ask(program, "throat", job="HW-7", units="SI", leg1="6", leg2="6")["result"]["size_mm"] == 6
    assert ask(program, "preheat", job="HW-7", p="1", thickness="1")["source"]["edition"] == "2014"
    assert ask(program, "preheat", job="HW-7", p="1", thickness="1", edition="2016")["source"]["edition"] == "2016"


# Interfaces: an edition not given is the job's. ASTM A105 allows 187 HBW in older editions and 197 in newer ones; QW-423.1
# took P-15E in after 2010; 341.3.4 as the job reads it.
def test_the_other_editions_and_readings_of_a_job_hold_too(program: Client, job: Job) -> None:
    forged = {"material": "A105", "hardness": "192"}
    leaf = {"material": "A106 Gr B", "C": "0.304"}
    welder = {
        "process": "GTAW", "weld": "groove", "coupon": "pipe", "position": "6G", "deposit": "5 mm", "od": "60.3 mm",
        "p": "1", "joint_p": "15E",
    }  # fmt: skip
    told = ask(program, "certificate-check", job="HW-7", **forged)
    assert told["result"]["passed"] and "edition" not in told["inputs"]
    assert ask(program, "welder-range", job="HW-7", **welder)["result"]["qualified"]
    job.welders_edition, job.certificates_edition, job.certificates_rounding = "2010", "older", "reported"
    job.first_batch = "all"
    job.save()
    told = ask(program, "certificate-check", job="HW-7", **forged)
    assert not told["result"]["passed"] and told["inputs"]["edition"] == "older"
    assert ask(program, "certificate-check", job="HW-7", edition="newer", **forged)["result"]["passed"]
    assert not ask(program, "certificate-check", job="HW-7", edition="", **forged)["result"]["passed"]
    assert not ask(program, "certificate-check", job="HW-7", **leaf)["result"]["passed"]
    assert ask(program, "certificate-check", job="HW-7", rounding="rounded", **leaf)["result"]["passed"]
    assert not ask(program, "welder-range", job="HW-7", **welder)["result"]["qualified"]
    assert ask(program, "welder-range", job="HW-7", edition="current", **welder)["result"]["qualified"]
    assert ask(program, "progressive", job="HW-7", rejects="2")["result"]["due_now"] == 2
    job.flanges_edition = "1996"
    job.save()
    flange = {"nps": "1", "joint": "butt", "centre": "24 in", "end1": "plain", "end2": "flange-150", "root": "0"}
    # ASME B16.5, NPS 1 Class 150: 2.19 in to the raised face before 2003, 2.12 in and 0.06 in since.
    older = ask(program, "cut-length", job="HW-7", **flange)
    assert older["inputs"]["flange_edition"] == "1996"
    newer = ask(program, "cut-length", job="HW-7", flange_edition="2003", **flange)
    assert [one["result"]["takeout2_mm"] for one in (older, newer)] == [2.19 * 25.4, 2.18 * 25.4]
    assert ask(program, "progressive", job="HW-7", rejects="2", reading="each")["result"]["due_now"] == 4


def test_the_edition_of_another_code_is_not_taken_for_that_of_b31_3(program: Client, job: Job) -> None:
    job.construction_code, job.edition = "ASME B31.1", "2014"
    job.save()
    assert ask(program, "preheat", job="HW-7", p="1", thickness="1")["source"]["edition"] == "2018"


def test_a_foreign_job_answers_as_one_that_does_not_exist(program: Client, other_job: Job) -> None:
    ask_of = {"nps": "1", "schedule": "80"}
    foreign = refused(program, "pipe", 404, job=other_job.code, **ask_of)
    assert foreign == refused(program, "pipe", 404, job="NONE-1", **ask_of)
    assert foreign == refused(program, "pipe", 404, job="\x00", **ask_of)


def test_an_unknown_calculator_lists_those_there_are_nearest_first(program: Client) -> None:
    told = refused(program, "cutlength", 404, nps="1")
    assert told["errors"][0]["accepted"].startswith("cut-length, ")
    assert set(told["errors"][0]["accepted"].split(", ")) == set(CALCULATORS)
    assert all(name in told["detail"] for name in CALCULATORS)


@pytest.mark.parametrize(
    ("name", "changes", "field", "said", "first"),
    [
        ("cut-length", {"centre": "500 kg"}, "centre", '"500 kg" is not a length', "1/8 in"),  # a unit of another kind
        ("thermal-growth", {"to": "300 mm"}, "to", '"300 mm" is not a temperature', "200 F"),
        ("test-pressure", {"design": "150 F"}, "design", '"150 F" is not a pressure', "150 psi"),
        ("heat-input", {"amps": "110 V"}, "amps", '"110 V" is not a current', "140 A"),
        ("pipe", {"nps": "1-3/4"}, "nps", 'no pipe size "1-3/4"', "DN 40"),
        ("pipe", {"schedule": "85"}, "schedule", 'DN 25 has no schedule "85"', "80"),
        ("certificate-check", {"material": "A106 Gr D"}, "material", 'no table for "A106 Gr D"', "A106 Gr B"),
        ("throat", {"leg1": "-6"}, "leg1", '"-6" is negative', "1/8 in"),
        ("carbon-equivalent", {"C": "-0.2"}, "C", '"-0.2" is negative', "figures from 0"),
        ("cut-length", {"nps": "4", "class": "6000"}, "class", 'DN 100 of class "6000"', "3000"),  # not in the table
        ("socket-leg", {"nps": "24", "schedule": "40", "class": "3000"}, "class", "accepted are none in this size", ""),
        ("throat", {"leg1": "1/3 in"}, "leg1", "a fraction no tape has", "1/8 in"),
        ("cut-length", {"centre": "1,5"}, "centre", "is not a length", "1/8 in"),
        ("throat", {"leg1": "0"}, "leg1", "must be over 0", "1/8 in"),
    ],
)  # fmt: skip
def test_a_wrong_value_is_a_problem_that_names_field_value_and_what_is_accepted(
    name: str, changes: dict[str, str], field: str, said: str, first: str, program: Client
) -> None:
    (error,) = refused(program, name, **EXAMPLES[name] | changes)["errors"]
    assert error["field"] == field
    assert said in error["message"]
    assert error["accepted"].startswith(first)


def test_each_empty_field_is_named(program: Client) -> None:
    told = refused(program, "pipe", nps="", schedule=" ")
    assert [one["field"] for one in told["errors"]] == ["nps", "schedule"]
    assert told["detail"] == "pipe needs nps, schedule."
    assert refused(program, "pipe")["errors"] == told["errors"]


def test_what_has_no_answer_says_why(program: Client) -> None:
    # 40 - 22.5 - 22.5 - 2 x 1.5 = -8
    told = refused(program, "cut-length", **EXAMPLES["cut-length"] | {"centre": "40 mm"})
    assert "does not fit: 8.0 mm short" in told["detail"]
    assert told["errors"] == [{"field": "", "message": told["detail"], "accepted": ""}]


def test_an_unknown_key_a_wrong_unit_system_and_a_value_given_twice_are_refused(program: Client) -> None:
    assert refused(program, "pipe", nps="1", shedule="80")["errors"][0]["accepted"].startswith("schedule")
    assert refused(program, "pipe", nps="1", schedule="80", format="xml")["errors"][0]["field"] == "format"
    assert refused(program, "pipe", units="metric")["errors"][0]["field"] == "units"
    response = program.get("/api/compute/pipe/?nps=1&nps=2&schedule=80")
    assert response.status_code == 422 and b"nps is given twice" in response.content


def test_without_a_sign_in_a_program_is_told_so() -> None:
    response = Client().get("/api/compute/pipe/?nps=1&schedule=80")
    assert (response.status_code, response["Content-Type"]) == (401, PROBLEM)


@pytest.mark.django_db
def test_whoever_is_on_no_job_may_compute(sign_in: SignIn) -> None:
    assert ask(sign_in(UserBuilder(username="newcomer")), "pipe", nps="1", schedule="80")["result"]["wall_mm"] == 4.55


def test_an_answer_costs_its_sign_in_and_its_job(
    program: Client, foreman: User, django_assert_num_queries: Any
) -> None:
    MembershipBuilder(job=JobBuilder(code="SECOND"), user=foreman, role="welder")
    ask(program, "pipe", nps="1", schedule="80")
    with django_assert_num_queries(2):  # session, person
        ask(program, "pipe", nps="1", schedule="80")
    with django_assert_num_queries(3):
        ask(program, "pipe", nps="1", schedule="80", job="HW-7")


def test_an_answer_is_kept_by_no_browser_that_many_hands_share(program: Client) -> None:
    assert "no-store" in program.get("/api/compute/pipe/?nps=1&schedule=80")["Cache-Control"]
