"""What a joint asks, row by row: the code of its finding, the record, the limit as shown, and the source.

What is told today, kept so that a change of it is seen. Part was written beside the printed answer; its figures are reckoned
again, apart from the code, in test_figures_by_hand.py.
"""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from rules import persons
from rules.codes import SEVERITY
from rules.examination import required_leg
from rules.finding import Requirement
from rules.judge import findings, requirements
from rules.positions import needed
from rules.ranges import positions_for
from rules.specification import parse_limit
from rules.spools import StepFacts, standing
from rules.state import derive
from rules.terms import measure
from rules.units import parse_current, parse_voltage
from tests.rules.cast import (
    EXAMINED,
    FITTED,
    JOB,
    PASSES,
    PROCEDURE,
    D,
    butt,
    examination,
    fitted,
    heat,
    people,
    planned,
    procedure_pass,
    qualification,
    released,
    repair,
    weld_pass,
    welded,
    welder,
)

WPS, PRACTICE = "WPS W-11", "common practice, no source"
AMPS, FILLER = ("pass-out-of-range", "pass", "range"), ("filler-mismatch", "pass", "one_of")
# 1/16 in = 1.5875 mm, 1/8 in = 3.175 mm, 10 °C = 50 °F, 176.6667 °C = 350 °F, 1.5 kJ/mm = 38.1 kJ/in.
# The leg: 1.09 x 4.55 mm by the US figure 0.179 in = 0.19511 in, next 7/32 in. Undercut H: 1/32 in under 0.25 x 0.179 in.
ASKED = {
    "gap": ("gap-out-of-range", "fit-up", "range", "Gap", "1/16", "1/8", "in", "W-11", WPS),
    "gap:greatest": ("gap-out-of-range", "fit-up", "range", "Greatest gap", "", "1/8", "in", "W-11", WPS),
    "squareness": ("squareness-out-of-range", "fit-up", "range", "Squareness", "", "1/16", "in", "W-11", WPS),
    "high-low": ("high-low-out-of-range", "fit-up", "range", "High-low", "", "1/16", "in", "W-11", WPS),
    "heat-a": ("heat-mismatch", "fit-up", "one_of", "Heat A", "", "", "", "H1", "joint's plan heat A"),
    "heat-b": ("heat-mismatch", "fit-up", "one_of", "Heat B", "", "", "", "H2", "joint's plan heat B"),
    "revision": (
        "superseded-revision", "fit-up", "one_of", "Drawing revision", "", "", "", "", "drawing revision 2"),
    "amps:root": (*AMPS, "Current of the root pass", "90", "150", "A", "W-11", WPS),
    "filler:root": (*FILLER, "Filler of the root pass", "", "", "", "W-11", WPS),
    "amps:fill": (*AMPS, "Current of the fill pass", "90", "150", "A", "W-11", WPS),
    "filler:fill": (*FILLER, "Filler of the fill pass", "", "", "", "W-11", WPS),
    "amps:cap": (*AMPS, "Current of the cap pass", "90", "150", "A", "W-11", WPS),
    "filler:cap": (*FILLER, "Filler of the cap pass", "", "", "", "W-11", WPS),
    "preheat": (*AMPS, "Preheat", "50", "", "°F", "W-11", WPS),
    "interpass": (*AMPS, "Interpass temperature", "", "350", "°F", "W-11", WPS),
    "heat-input": (*AMPS, "Heat input", "", "38.1", "kJ/in", "W-11", WPS),
    "pass-order": ("pass-order", "pass", "order", "Order of passes", "", "", "", "", PRACTICE),
    "passes": ("too-few-passes", "pass", "count_at_least", "Passes", "2", "", "passes", "W-11", WPS),
    "starts-apart": ("stops-stacked", "pass", "dial_apart", "Start", "30", "", "°", "W-11", WPS),
    "stops-apart": ("stops-stacked", "pass", "dial_apart", "Stop", "30", "", "°", "W-11", WPS),
    "leg": ("leg-too-small", "examination", "range", "Leg", "7/32", "", "in", "", "ASME B31.3 Fig. 328.5.2C"),
    "undercut": (
        "undercut-too-deep", "examination", "range", "Undercut", "", "1/32", "in", "",
        "ASME B31.3-2018 Table 341.3.2"),
}  # fmt: skip


def shown(one: Requirement) -> tuple[str, ...]:
    limits = (str(one.args.get(name, "")) for name in ("label", "least", "greatest", "unit", "subject"))
    return one.code, one.record, one.test, *limits, str(one.source)


def test_a_sound_joint_asks_these_rows_in_this_order() -> None:
    asked = requirements(planned(), JOB)
    assert {one.id: shown(one) for one in asked} == ASKED
    assert [one.id for one in asked] == list(ASKED)
    assert all(one.severity == SEVERITY[one.code] for one in asked)


# What the card says beside each row, and for which passes it is asked.
TEXTS = {
    "range": "gap gap:greatest squareness high-low amps:root amps:fill amps:cap preheat interpass heat-input leg undercut",
    "heat": "heat-a heat-b", "revision": "revision", "filler": "filler:root filler:fill filler:cap",
    "order": "pass-order", "count": "passes", "dial": "starts-apart stops-apart",
}  # fmt: skip


def test_a_row_names_its_text_and_the_passes_it_is_asked_of() -> None:
    asked = {one.id: one for one in requirements(planned(), JOB)}
    for text, ids in TEXTS.items():
        assert [asked[id].text_id for id in ids.split()] == [text] * len(ids.split())
    for kind in ("amps", "filler"):
        for role in ("root", "fill", "cap"):
            assert asked[f"{kind}:{role}"].when == {"pass": role, "process": "GTAW"}
    fields = {"filler:root": "filler_classification", "passes": "order", "pass-order": "role", "heat-a": "heat_a_read"}
    assert {id: asked[id].term for id in fields} == {id: ["field", field] for id, field in fields.items()}


def test_the_stamps_that_may_are_asked_by_pass_with_the_day_on_which_they_lapse() -> None:
    # Tested on 10 January 2026: six months to 10 July.
    asked = persons.requirements(planned(), JOB, people(welder(), welder("B2", qualification(process="SMAW"))))
    assert [one.id for one in asked] == ["tack-stamp", "stamp:root:GTAW", "stamp:fill:GTAW", "stamp:cap:GTAW"]
    assert [one.code for one in asked] == ["tacker-not-qualified", *["welder-not-qualified"] * 3]
    assert [one.term for one in asked] == [["field", "tack_stamp"], *[["field", "stamp"]] * 3]
    assert [one.when for one in asked[1:]] == [{"process": "GTAW", "pass": role} for role in ("root", "fill", "cap")]
    for one in asked:
        assert (str(one.source), one.args["label"]) == ("ASME BPVC Section IX QW-301 (from memory)", "Stamp")
        assert one.bounds["A1"] == {"until": date(2026, 7, 10), "why": ""}
        assert one.bounds["B2"]["why"]


def test_a_flange_is_asked_the_leg_of_a_flange() -> None:
    # ASME B31.3 Fig. 328.5.2B: 1.4 x the wall, 0.179 in = 4.5466 mm: 6.36524 mm.
    found = required_leg(planned(kind="slip-on"), JOB)
    assert found is not None and found.value == D("6.36524")
    assert required_leg(planned(kind="butt"), JOB) is None


def test_the_socket_of_a_flange_is_asked_the_leg_of_a_flange_whatever_class_stands_beside_it() -> None:
    # As above, and in mm 1.4 x 4.55 = 6.37: the 1.09 of a fitting's socket would leave 4.96 mm.
    for rating in ("", "3000"):
        found = required_leg(planned(in_flange=True, socket_class=rating), JOB)
        assert found is not None and found.value == D("6.36524")
        assert str(found.source) == "ASME B31.3 Fig. 328.5.2B (from memory)"
    found = required_leg(planned(in_flange=True), replace(JOB, units="SI"))
    assert found is not None and found.value == D("6.370")


def test_a_pipe_of_610_mm_is_not_yet_over_it() -> None:
    # QW-461.9: a plate test in 3G gives flat and vertical over 24 in (610 mm), flat in smaller pipe.
    plate = qualification(positions=("3G",), coupon="plate", coupon_diameter_mm=None)
    for od_mm, letters in (("609.6", "F"), ("610", "F"), ("611", "FV"), ("73", "F"), ("72", "")):
        assert positions_for(plate, False, D(od_mm)) == frozenset(letters)


def test_a_film_to_repeat_is_the_next_step() -> None:
    looks = (examination("RT", result="re-shoot"),)
    assert derive(welded(has_exam_plan=True, exam_rules=(), examinations=looks), JOB).next_step == "examine RT"


def test_repairs_over_the_jobs_own_limit_name_the_setting() -> None:
    rejects = tuple(
        examination(id=f"e{n}", attempt=label, result="rejected") for n, label in enumerate(("0", "R1", "R2"))
    )
    joint = welded(repairs=(repair(), repair(attempt="R1"), repair(attempt="R2")), examinations=rejects)
    (one,) = (one for one in findings(joint, JOB, people()) if one.code == "repairs-exceeded")
    assert one.message.startswith("The joint was repaired 3 times, at most 2 (job setting; no code limits it).")


def test_a_suspended_stamp_and_one_outside_its_period_are_told_with_their_days() -> None:
    suspended = qualification(status="suspended", status_on=date(2026, 3, 3))
    one = findings(released(), JOB, people(welder("A1", suspended)))[0]
    assert "WPQ Q-1 of A1 is suspended since 2026-03-03, and no other covers this weld." in one.steps + (one.message,)
    assert (one.measured, one.limit) == ("suspended", "active")
    one = findings(released(), JOB, people(welder(stamp_from=date(2026, 1, 1), stamp_to=FITTED)))[0]
    assert (one.measured, one.limit) == ("2026-03-03", "from 2026-01-01 to 2026-03-02")


def test_only_the_root_of_a_butt_without_backing_asks_for_a_test_without_backing() -> None:
    # Passes over weld metal count as made on backing.
    backed = qualification(backing="yes")
    found = findings(butt(procedure=replace(PROCEDURE, backing="no")), JOB, people(welder("A1", backed)))
    assert [(one.code, one.record) for one in found] == [("welder-not-qualified", "p1")]


def test_an_examination_before_the_weld_of_an_earlier_attempt_is_told_of_that_attempt() -> None:
    joint = welded(
        examinations=(examination(result="rejected", done_on=FITTED), examination(id="e1", attempt="R1")),
        repairs=(repair(),),
        passes=(*PASSES, weld_pass(4, "cap", id="p4", attempt="R1", done_on=date(2026, 3, 6))),
    )
    told = {(one.attempt, one.record) for one in findings(joint, JOB, people()) if one.code == "record-order"}
    assert ("0", "e-VT") in told


def test_a_current_and_a_voltage_are_read_with_their_units_in_full() -> None:
    assert [parse_voltage(text) for text in ("12", "12 V", "12 volt", "12 volts")] == [12] * 4
    assert [parse_current(text) for text in ("140", "140 A", "140 amp", "140 amps", "0.14 kA")] == [140] * 5


def test_a_spacing_in_the_owners_limits_is_read_in_degrees() -> None:
    assert parse_limit("stop spacing min", "30", "US") == 30
    assert parse_limit("passes min", "3", "US") == 3


def test_without_a_procedure_only_plan_and_code_ask_and_the_codes_gap_is_a_note() -> None:
    asked = {one.id: one for one in requirements(planned(procedure=None), JOB)}
    assert list(asked) == ["gap", "heat-a", "heat-b", "revision", "pass-order", "leg", "undercut"]
    assert (asked["gap"].severity, str(asked["gap"].source)) == ("note", "ASME B31.3 Fig. 328.5.2C")


def test_a_second_row_of_a_role_has_limits_of_its_own() -> None:
    rows = [procedure_pass(role, amps_max=D(most)) for role, most in (("fill", 130), ("fill", 140), ("fill", 150))]
    asked = requirements(planned(procedure=replace(PROCEDURE, passes=tuple(rows))), JOB)
    amps = [(one.id, one.args["greatest"]) for one in asked if one.id.startswith("amps")]
    assert [most for _, most in amps] == ["130", "140", "150"]
    assert len({id for id, _ in amps}) == 3


def test_a_socket_weld_of_unknown_class_is_held_against_the_pipe_wall_by_the_jobs_code() -> None:
    # Both codes: 1.09 x 4.55 mm (0.179 in = 4.5466 mm) = 4.955794 mm; B31.1 does not know the socket wall at all.
    for code, clause in (("B31.3", "ASME B31.3 Fig. 328.5.2C"), ("B31.1", "ASME B31.1 Fig. 127.4.4(C)")):
        found = required_leg(planned(socket_class=""), replace(JOB, construction_code=code))
        assert found is not None and found.value == D("4.955794")
        assert str(found.source).startswith(clause)


def test_parts_are_joined_and_what_is_silent_is_left_empty() -> None:
    joined = measure(["join", "|", ["field", "by"], ["field", "method"]])
    assert joined(examination()) == "Quinn|VT"
    assert joined(examination(by="")) == "|VT"


@pytest.mark.parametrize(
    ("position", "letters"),
    [("5g", "FVO"), ("6G", "FHVO"), ("2f", "H"), ("h", "H"), ("F, v", "FV"), ("overhead", "O"), ("Flat/Vertical", "FV"),
     ("all", "FHVO"), ("nowhere", "")],
)  # fmt: skip
def test_a_position_is_read_in_either_case_and_in_words(position: str, letters: str) -> None:
    assert needed(position) == frozenset(letters)


def test_two_other_procedures_are_both_told() -> None:
    first, second = (replace(PROCEDURE, number=number, p_numbers=("8",)) for number in ("W-12", "W-13"))
    passes = [replace(PASSES[0], procedure=first), replace(PASSES[1], procedure=first)]
    joint = released(passes=(*passes, replace(PASSES[2], procedure=second)))
    found = [one.subject for one in findings(joint, JOB, people()) if one.code == "procedure-not-applicable"]
    assert found == ["W-12", "W-13"]


def test_work_dated_before_what_it_follows_names_both_days() -> None:
    early = welded(passes=(weld_pass(1, "root", done_on=FITTED - timedelta(1)), *PASSES[1:]))
    (one,) = (one for one in findings(early, JOB, people()) if one.code == "record-order")
    assert (one.record, one.measured, one.limit) == ("p1", "2026-03-01", "2026-03-02")
    assert one.message == "Pass 1 is dated 2026-03-01, before its fit-up of 2026-03-02."


def test_work_on_a_repair_dated_before_its_decision_names_the_decision() -> None:
    # The reject is of 4 March, the decision of 5 March, the pass of the repair of 4 March.
    joint = welded(
        examinations=(examination(result="rejected"),),
        repairs=(repair(),),
        passes=(*PASSES, weld_pass(4, "cap", id="p4", attempt="R1", done_on=EXAMINED)),
    )
    (one,) = (one for one in findings(joint, JOB, people()) if one.code == "record-order")
    assert (one.attempt, one.record, one.measured, one.limit) == ("R1", "p4", "2026-03-04", "2026-03-05")
    assert one.message == "Work on attempt R1 is dated 2026-03-04, before the repair of 2026-03-05."


def test_records_of_an_attempt_that_nothing_opened_name_the_decision_that_is_missing() -> None:
    for label, missing in (("R1", "a repair"), ("W1", "a cut-out")):
        joint = welded(passes=(*PASSES, weld_pass(4, "cap", id="p4", attempt=label)))
        (one,) = (one for one in findings(joint, JOB, people()) if one.code == "record-order")
        assert (one.attempt, one.record, one.measured, one.limit) == (label, "p4", "none", missing)


def test_a_second_decision_on_an_attempt_is_told_and_not_judged_again() -> None:
    joint = welded(
        examinations=(examination(result="rejected"),),
        repairs=(repair(), repair(id="d2", done_on=date(2026, 3, 3))),
    )
    found = [one for one in findings(joint, JOB, people()) if one.code == "record-order"]
    assert [one.measured.split()[0] for one in found if one.message.startswith("Two decisions")] == ["repair"]
    assert len(found) == 1


def test_an_examination_of_the_fit_up_does_not_say_when_a_weld_was_made() -> None:
    # No cap is recorded: the weld was made by its first final examination, not by the look at its fit-up.
    looks = (examination(id="e0", stage="fit-up", done_on=FITTED), examination())
    assert derive(fitted(passes=(), examinations=looks), JOB).welded_on == EXAMINED


def test_a_spool_stands_with_the_day_of_its_last_step() -> None:
    steps = [StepFacts(word, word, "", date(2026, 3, day)) for word, day in (("cleaned", 3), ("coated", 5))]
    assert standing(steps).last_on == date(2026, 3, 5)


def test_the_steps_of_a_certificates_fault_are_told() -> None:
    # A106 Gr B: phosphorus at most 0.035 %.
    joint = released(heat_a=heat("H1", "A106 Gr B", elements={"P": D("0.040")}))
    assert findings(joint, JOB, people())[0].steps[0] == "P 0.04 %, at most 0.035 %"
