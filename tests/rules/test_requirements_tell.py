"""What a joint asks, row by row: the code of its finding, the record, the limit as shown, and the source, worked out by hand."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from rules.codes import SEVERITY
from rules.compare import measure
from rules.examination import required_leg
from rules.finding import Requirement
from rules.judge import findings, requirements
from rules.positions import needed
from rules.spools import StepFacts, standing
from rules.state import derive
from tests.rules.cast import (
    EXAMINED,
    FITTED,
    JOB,
    PASSES,
    PROCEDURE,
    D,
    examination,
    fitted,
    heat,
    people,
    planned,
    procedure_pass,
    released,
    repair,
    weld_pass,
    welded,
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
