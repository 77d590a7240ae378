"""What templates can say: the ring, quantities, days, counts and the way round a job."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal

import pytest
from django.test import Client

from records.models import Job, Joint, User
from records.templatetags.spoolbook import (
    as_length,
    clock,
    day,
    plural,
    ring,
    roles,
    temperature,
    with_confirmation,
    written,
)

SignIn = Callable[[User], Client]


def test_the_ring_says_its_state_unless_words_stand_beside(joint: Joint) -> None:
    assert "<title>planned</title>" in ring(joint)
    assert 'aria-hidden="true"' in ring(joint, 24, "-")
    assert "<title>" not in ring(joint, 24, "-")


def test_the_words_of_a_ring_are_escaped(joint: Joint) -> None:
    assert "<script>" not in ring(joint, 24, "<script>")


@pytest.mark.parametrize(("units", "said"), [("US", "1/8 in"), ("SI", "3.175 mm")])
def test_a_length_stands_in_the_jobs_units(job: Job, units: str, said: str) -> None:
    job.units = units
    assert as_length(Decimal("3.175"), job) == said
    assert as_length(None, job) == ""


def test_temperatures_days_counts_clocks_and_roles_are_said_in_the_trades_way(job: Job) -> None:
    assert temperature(Decimal(10), job) == "50 °F"
    assert day(date(2026, 11, 4)) == "4 Nov 2026"
    assert [plural(count, "joint,joints") for count in (0, 1, 1200)] == ["0 joints", "1 joint", "1,200 joints"]
    assert [clock(Decimal(angle)) for angle in (0, 90, 135)] == ["12", "3", "4:30"]
    assert roles({"inspector", "foreman"}) == "foreman, inspector"


def test_a_sentence_of_the_rules_says_its_days_as_the_pages_do_and_leaves_numbers_alone() -> None:
    assert written("VT is dated 2026-08-14, before pass 3 of 2026-08-17 14:05.") == (
        "VT is dated 14 Aug 2026, before pass 3 of 17 Aug 2026 14:05."
    )
    for number in ("ISO-2026-08-14", "2026-08-14-A", "2026-13-14", "VT/2026-08-14"):
        assert written(number) == number


def test_people_are_offered_to_those_who_manage_them_only(
    joint: Joint, administrator: User, client_person: User, sign_in: SignIn
) -> None:
    address = f"/jobs/{joint.job.code}/joints/{joint.id}/"
    assert ">People</a>" in sign_in(administrator).get(address).text
    assert ">People</a>" not in sign_in(client_person).get(address).text


def test_a_number_and_its_percent_sign_stand_on_one_line() -> None:
    # ISO 80000-1, 7.3.3: a space stands between the number and %.
    assert written("RT 10 % of line GL-201, 20 % of 5") == "RT 10\u00a0% of line GL-201, 20\u00a0% of 5"
    assert with_confirmation("exam plan N10, RT 10 %", "") == "exam plan N10, RT 10\u00a0%"
