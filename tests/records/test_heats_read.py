"""The heats of a joint whose weld list names none: those that were read off its pieces at fit-up."""

import pytest

from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.withdraw_records import withdraw_records
from joints.queries.heats import heat_places, heats_page
from office.queries.paper.heats import joints_of_heats
from office.queries.paper.weld_map import rows_of
from office.queries.scope import Scope
from records.models import Finding, FitUp, Heat, Job, Joint, User, Withdrawal
from records.papers import Library
from tests.builders import HeatBuilder, JointBuilder, days_ago

pytestmark = pytest.mark.django_db


def fitted(joint: Joint, a: str, b: str, ago: int, by: User) -> FitUp:
    draft = FitUp(joint=joint, done_on=days_ago(ago), by="A1", heat_a_read=a, heat_b_read=b)
    return record_fit_ups([draft], job=joint.job, by=by)[0]


def in_heats(job: Job) -> dict[str, list[str]]:
    names = dict(Heat.objects.filter(job=job).values_list("id", "number"))
    return {names[key]: [number for *_, number in joints] for key, joints in joints_of_heats(Scope(job)).items()}


def on(joint: Joint) -> tuple[str, str]:
    [row] = rows_of(Joint.objects.filter(id=joint.id))
    return row.on_a, row.on_b


def test_a_heat_read_at_fit_up_is_found_like_a_planned_one(job: Job, joint: Joint, engineer: User) -> None:
    one, other = HeatBuilder(job=job, number="K1"), HeatBuilder(job=job, number="K2")
    bare = JointBuilder(sheet=joint.sheet, number="77", heat_a=None, heat_b=None)
    assert on(bare) == ("", "")
    fitted(bare, "K1", "K1", 3, engineer)
    fitted(bare, "", "K2", 2, engineer)  # the fitting was changed, and only it was read again
    assert on(bare) == ("K1", "K2")
    assert in_heats(job)["K1"] == in_heats(job)["K2"] == ["77"]
    assert {row.number: row.joints for row in heats_page(job).rows if row.number in ("K1", "K2")} == {"K1": 1, "K2": 1}
    places = heat_places(job, one)
    assert (places.joints_count, [row.number for row in places.joints]) == (1, ["77"])
    assert heat_places(job, other).lines[0][1] == bare.line.number


def test_a_heat_read_with_other_case_and_spaces_is_found_too(job: Job, joint: Joint, engineer: User) -> None:
    heat = HeatBuilder(job=job, number="K 1a")
    bare = JointBuilder(sheet=joint.sheet, number="77", heat_a=None, heat_b=None)
    fitted(bare, "k1A", "", 3, engineer)
    assert in_heats(job)["K 1a"] == ["77"]
    assert {row.number: row.joints for row in heats_page(job).rows}["K 1a"] == 1
    assert [row.number for row in heat_places(job, heat).joints] == ["77"]


def test_another_heat_than_planned_stands_in_its_place_until_withdrawn(
    job: Job, joint: Joint, engineer: User, foreman: User
) -> None:
    HeatBuilder(job=job, number="K1")
    planned = (joint.heat_a.number, joint.heat_b.number) if joint.heat_a and joint.heat_b else ("", "")
    assert on(joint) == planned
    wrong = fitted(joint, "K1", "", 2, engineer)
    assert on(joint) == ("K1", planned[1]) and in_heats(job)["K1"] == [joint.number]
    withdraw_records(
        [Withdrawal(joint=joint, kind="fitup", record=wrong.id, reason="Another joint")], job=job, by=foreman
    )
    assert on(joint) == planned and "K1" not in in_heats(job)


def test_a_corrected_reading_goes_and_the_last_of_all_attempts_counts(job: Job, joint: Joint, engineer: User) -> None:
    planned = (joint.heat_a.number, joint.heat_b.number) if joint.heat_a and joint.heat_b else ("", "")
    wrong = fitted(joint, "K1", "K3", 3, engineer)
    right = FitUp(joint=joint, done_on=days_ago(3), by="A1", heat_b_read="K3", replaces=wrong, reason="Misread")
    record_fit_ups([right], job=job, by=engineer)
    assert on(joint) == (planned[0], "K3")
    again = FitUp(joint=joint, attempt="W1", done_on=days_ago(1), by="A1", heat_a_read="K2")
    record_fit_ups([again], job=job, by=engineer)
    fitted(joint, "K4", "", 2, engineer)
    assert on(joint) == ("K2", "K3")


def test_a_heat_planned_and_read_counts_once(job: Job, joint: Joint, engineer: User) -> None:
    heat = joint.heat_a
    assert heat is not None
    before = {row.id: row.joints for row in heats_page(job).rows}
    fitted(joint, heat.number, "", 2, engineer)
    assert {row.id: row.joints for row in heats_page(job).rows} == before


def test_of_heats_that_differ_in_case_alone_the_one_that_was_read_is_meant(
    job: Job, joint: Joint, engineer: User
) -> None:
    # Common practice, no source: two makers may number their heats alike.
    planned = joint.heat_a
    assert planned is not None
    written = planned.number.lower()
    assert written != planned.number
    fitted(joint, written, "", 3, engineer)
    mismatches = Finding.objects.filter(joint=joint, code="heat-mismatch")
    assert not mismatches.exists()
    other = HeatBuilder(job=job, number=written)
    fitted(joint, written, "", 2, engineer)
    assert mismatches.get().measured == other.number
    assert in_heats(job)[other.number] == [joint.number] and planned.number not in in_heats(job)
    fitted(joint, f"{planned.number[0]} {planned.number[1:]}", "", 1, engineer)
    assert not mismatches.exists()
    library = Library(job)
    for heat in (planned, other):
        found = library.heat_read(heat.number)
        assert found is not None and found.number == heat.number
