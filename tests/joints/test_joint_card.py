"""The joint card."""

import re
from collections.abc import Callable
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from inspection.actions.decide_repairs import decide_repairs
from inspection.actions.record_examinations import record_examinations
from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.record_passes import record_passes
from joints.actions.withdraw_records import withdraw_records
from joints.queries.joint_asks import joint_plan
from records.facts import Library, joint_facts
from records.models import Examination, FitUp, Job, Joint, Material, Pass, RepairDecision, Stamp, User, Withdrawal
from rules.facts import MaterialFacts
from tests.builders import (
    HeatBuilder,
    JointBuilder,
    PieceBuilder,
    QualificationBuilder,
    StampBuilder,
    WelderBuilder,
    days_ago,
)

SignIn = Callable[[User], Client]


def card(browser: Client, joint: Joint, status: int = 200) -> str:
    answer = browser.get(f"/jobs/{joint.job.code}/joints/{joint.id}/")
    assert answer.status_code == status
    return answer.text


def without_token(text: str) -> str:
    return re.sub(r'name="csrfmiddlewaretoken" value="\w+"', "", text)


def fit(joint: Joint, by: User, gap: str = "1.5875", **more: object) -> FitUp:
    draft = FitUp(joint=joint, done_on=days_ago(2), by="A1", gap_mm=Decimal(gap), **more)
    return record_fit_ups([draft], job=joint.job, by=by)[0]


def weld(joint: Joint, stamp: Stamp, by: User, order: int, role: str, **more: object) -> Pass:
    draft = Pass(
        joint=joint, order=order, role=role, stamp=stamp, process="GTAW", done_on=days_ago(1), by=stamp.code, **more
    )
    return record_passes([draft], job=joint.job, by=by)[0]


def test_shows_what_the_joint_asks_in_the_jobs_units(joint: Joint, welder: User, sign_in: SignIn) -> None:
    text = card(sign_in(welder), joint)
    assert "1/32 to 1/8 in" in text
    assert "at least 7/32 in" in text
    assert "80–150" in text
    assert "preheat 50 °F or more" in text


@pytest.mark.parametrize("kind", ["flange-socket", "SW flange"])
def test_a_socket_in_a_flange_has_the_leg_and_the_depth_of_a_flange(
    kind: str, joint: Joint, welder: User, sign_in: SignIn
) -> None:
    # NPS 2 Schedule 80: 1.4 x 0.218 in = 0.3052 in, next 1/32 up (a fitting: 1.09 x 0.218 = 0.238 in); ASME B16.5 Class
    # 150: the socket is 0.69 in deep (a fitting's 0.62 in).
    joint.piece_b = PieceBuilder(sheet=joint.sheet, mark="F1", kind=kind, nps="2", pressure_class="150")
    joint.nps, joint.schedule, joint.od_mm, joint.wall_mm = "2", "80", Decimal("60.3"), Decimal("5.54")
    joint.save()
    text = card(sign_in(welder), joint)
    assert "at least 5/16 in" in text and "at least 1/4 in" not in text
    assert "of 11/16 in deep" in text
    judged = joint_facts(Library(joint.job), [joint.id])[joint.id]
    assert joint_plan(joint.job, joint).in_flange and judged.in_flange


def test_a_jobs_own_material_goes_before_the_built_in_one_as_in_its_findings(job: Job, joint: Joint) -> None:
    Material.objects.create(job=job, name="A106 Gr B", p_number="5B", group="1")
    judged = joint_facts(Library(job), [joint.id])[joint.id]
    assert joint_plan(job, joint).material_a == judged.material_a == MaterialFacts("A106 Gr B", "5B", "1")


def test_a_welder_sees_the_next_step_under_their_own_stamp(
    joint: Joint, welder: User, stamp: Stamp, sign_in: SignIn
) -> None:
    assert "Record fit-up as A1" in card(sign_in(welder), joint)
    fit(joint, welder)
    assert "Record pass 1 as A1" in card(sign_in(welder), joint)


def test_a_foreman_is_asked_to_assign_first(joint: Joint, foreman: User, sign_in: SignIn) -> None:
    text = card(sign_in(foreman), joint)
    assert '<a class="button main"' in text
    assert "Assign a welder" in text.split('<a class="button main"')[1][:200]


@pytest.mark.parametrize("who", ["client_person", "owner", "administrator"])
def test_those_who_only_read_are_offered_no_deed(
    who: str, joint: Joint, sign_in: SignIn, request: pytest.FixtureRequest
) -> None:
    text = card(sign_in(request.getfixturevalue(who)), joint)
    assert "Next: fit up, by a welder." in text
    assert "button main" not in text
    assert "Record" not in text


def test_a_joint_of_another_job_is_as_absent_as_one_that_never_was(
    joint: Joint, visitor: User, other_job: Job, sign_in: SignIn
) -> None:
    browser = sign_in(visitor)
    foreign = browser.get(f"/jobs/{other_job.code}/joints/{joint.id}/")
    absent = browser.get(f"/jobs/{other_job.code}/joints/01a20fd9-9c68-71a9-90bc-421bcf6c7604/")
    foreign_job = browser.get(f"/jobs/{joint.job.code}/joints/{joint.id}/")
    assert foreign.status_code == absent.status_code == foreign_job.status_code == 404
    assert without_token(foreign.text) == without_token(absent.text)


def test_a_corrected_record_stays_struck_with_its_reason(joint: Joint, welder: User, sign_in: SignIn) -> None:
    wrong = fit(joint, welder, "4.7625", typed={"gap": "3/16"})
    fit(joint, welder, typed={"gap": "1/16"}, replaces=wrong, reason="Read the wrong gauge")
    text = card(sign_in(welder), joint)
    assert "<s>Fitted up</s>" in text
    assert "<s>gap 3/16 in" in text
    assert "Corrected by Arne Lindqvist" in text
    assert "gap 1/16 in" in text
    assert "Read the wrong gauge" in text


def test_a_withdrawn_record_stays_struck_with_its_reason(joint: Joint, foreman: User, sign_in: SignIn) -> None:
    made = fit(joint, foreman)
    withdraw_records(
        [Withdrawal(joint=joint, kind="fitup", record=made.id, reason="Made on joint 15")], job=joint.job, by=foreman
    )
    text = card(sign_in(foreman), joint)
    assert "Withdrawn by Frida Holm" in text
    assert "Made on joint 15" in text
    assert "planned" in text


def test_a_finding_shows_measured_limit_source_and_arithmetic(
    joint: Joint, welder: User, inspector: User, stamp: Stamp, sign_in: SignIn
) -> None:
    fit(joint, welder, "4.7625")
    weld(joint, stamp, welder, 1, "cap")
    leg = Decimal("4.7625")
    record_examinations(
        [
            Examination(
                joint=joint,
                method="VT",
                result="accepted",
                by="Ines Carrow",
                done_on=days_ago(0),
                leg_a_mm=leg,
                leg_b_mm=leg,
            )
        ],
        job=joint.job,
        by=inspector,
    )
    text = card(sign_in(inspector), joint)
    assert "Gap 3/16 in, at most 1/8 in (WPS W-11)." in text
    assert "Fig. 328.5.2C" in text
    assert "1.09 x 0.179 in" in text


def test_what_people_wrote_is_escaped_in_every_script(
    joint: Joint, inspector: User, welder: User, stamp: Stamp, sign_in: SignIn
) -> None:
    nasty = "\"><script>alert('x')</script> مرحبا 焊缝 O’Neil"
    weld(joint, stamp, welder, 1, "cap")
    record_examinations(
        [
            Examination(
                joint=joint, method="VT", result="rejected", by=nasty[:60], done_on=days_ago(0), indications=nasty
            )
        ],
        job=joint.job,
        by=inspector,
    )
    text = card(sign_in(inspector), joint)
    assert "<script>alert" not in text
    assert "&lt;script&gt;" in text
    assert "مرحبا 焊缝 O’Neil" in text


def test_the_dial_shows_starts_and_stops(joint: Joint, welder: User, stamp: Stamp, sign_in: SignIn) -> None:
    assert "Starts and stops" not in card(sign_in(welder), joint)
    weld(joint, stamp, welder, 1, "root", start_degrees=90, stop_degrees=90)
    text = card(sign_in(welder), joint)
    assert "from 3 o&#x27;clock all round" in text
    assert "Pass 1 root, A1: from 3 o'clock all round" in text


def test_the_count_of_queries_does_not_grow_with_the_job(
    joint: Joint, welder: User, stamp: Stamp, sign_in: SignIn
) -> None:
    browser = sign_in(welder)
    fit(joint, welder)
    weld(joint, stamp, welder, 1, "root")
    with CaptureQueriesContext(connection) as few:
        card(browser, joint)
    for order in range(2, 8):
        weld(joint, stamp, welder, order, "fill")
    for _ in range(8):
        JointBuilder(sheet=joint.sheet, procedure=joint.procedure)
        HeatBuilder(job=joint.job)
        QualificationBuilder(stamp=StampBuilder(welder=WelderBuilder(job=joint.job)))
    with CaptureQueriesContext(connection) as many:
        card(browser, joint)
    assert len(many) == len(few) <= 22


def test_an_examination_says_which_indications_no_table_decides(joint: Joint, inspector: User, sign_in: SignIn) -> None:
    # ASME B31.3-2018 Table 341.3.2: rounded indications of a fillet are not evaluated, a crack is never allowed.
    looked = Examination(
        joint=joint, method="RT", done_on=days_ago(1), by="I", result="rejected",
        indications="crack at 3; porosity 1/32 in",
    )  # fmt: skip
    record_examinations([looked], job=joint.job, by=inspector)
    text = card(sign_in(inspector), joint)
    assert "porosity 1/32 in: not decided here. The table has no criterion for this in such a weld" in text
    assert "crack at 3: not decided" not in text


def heats_on(joint: Joint, browser: Client) -> list[str]:
    """The table of pieces, row by row as text."""
    table = re.search(r'<table class="pieces">.*?</table>', card(browser, joint), re.DOTALL)
    assert table is not None
    rows = table[0].split("<tr>")[2:]
    return [" | ".join(" ".join(re.sub("<[^>]*>", " ", cell).split()) for cell in row.split("<td")) for row in rows]


def test_a_heat_read_at_fit_up_stands_beside_the_planned_one(joint: Joint, welder: User, sign_in: SignIn) -> None:
    browser = sign_in(welder)
    assert joint.heat_a and joint.heat_b
    planned_a, planned_b = joint.heat_a.number, joint.heat_b.number
    assert "read at fit-up" not in "".join(heats_on(joint, browser))
    other = HeatBuilder(job=joint.job, number="K1")
    fit(joint, welder, heat_a_read=planned_a, heat_b_read="k 1")
    with CaptureQueriesContext(connection) as both:
        as_planned, planned, read = heats_on(joint, browser)
    assert f"{planned_a} read at fit-up" in as_planned
    assert f"{planned_b} planned" in planned
    assert "K1 read at fit-up, not the planned one" in read and other.certificate.number in read
    assert len(both) <= 20
    fit(joint, welder, heat_a_read=f" {planned_a.lower()}", heat_b_read="K9")
    as_planned, _, unknown = heats_on(joint, browser)
    assert f"{planned_a} read at fit-up as {planned_a.lower()}" in as_planned
    assert "K9 read at fit-up, not the planned one; the job has no heat of that number" in unknown


def test_a_heat_that_is_read_where_none_is_planned_stands_alone(joint: Joint, welder: User, sign_in: SignIn) -> None:
    HeatBuilder(job=joint.job, number="K1")
    bare = JointBuilder(sheet=joint.sheet, number="77", heat_a=None, heat_b=None)
    fit(bare, welder, heat_a_read="K1")
    side_a, side_b = heats_on(bare, sign_in(welder))
    assert "K1 read at fit-up" in side_a and "not the planned one" not in side_a
    assert "read" not in side_b


def test_after_a_cut_out_the_heat_of_the_new_piece_is_no_difference(
    joint: Joint, engineer: User, welder: User, sign_in: SignIn
) -> None:
    assert joint.heat_a and joint.heat_b
    HeatBuilder(job=joint.job, number="K1")
    fit(joint, welder, heat_a_read=joint.heat_a.number, heat_b_read=joint.heat_b.number)
    looked = Examination(joint=joint, method="RT", done_on=days_ago(2), by="I", result="rejected", indications="crack")
    record_examinations([looked], job=joint.job, by=engineer)
    gone = RepairDecision(
        joint=joint, decision="cut-out", piece_scrapped="side B", reason="Crack", done_on=days_ago(1), by="E"
    )
    decide_repairs([gone], job=joint.job, by=engineer)
    browser = sign_in(welder)
    assert "before the cut-out" in heats_on(joint, browser)[1]
    again = FitUp(joint=joint, attempt="W1", done_on=days_ago(0), by="A1", heat_b_read="K1")
    record_fit_ups([again], job=joint.job, by=engineer)
    kept, before, read = heats_on(joint, browser)
    assert f"{joint.heat_a.number} read at fit-up" in kept
    assert f"{joint.heat_b.number} before the cut-out" in before
    assert "K1 read at fit-up" in read and "not the planned one" not in read
