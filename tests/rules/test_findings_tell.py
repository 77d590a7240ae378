"""What a finding tells besides its sentence: measured, limit, unit, subject, the record and the source.

What is told today, kept so that a change of it is seen. Part was written beside the printed answer; its figures are reckoned
again, apart from the code, in test_figures_by_hand.py.
"""

from dataclasses import replace
from datetime import timedelta

import pytest

from rules.codes import SEVERITY
from rules.facts import JointFacts, PieceEventFacts, PieceFacts, ProcedureFacts
from rules.finding import Finding
from rules.judge import findings
from tests.rules.cast import (
    EXAMINED,
    FITTED,
    JOB,
    PASSES,
    PROCEDURE,
    D,
    examination,
    fit_up,
    heat,
    people,
    planned,
    procedure_pass,
    qualification,
    released,
    weld_pass,
    welded,
    welder,
)
from tests.rules.test_findings import ON

PRACTICE, WPS, PLAN = "common practice, no source", "WPS W-11", "joint's plan "
SECTION_IX, TABLE = "ASME BPVC Section IX QW-300 (from memory)", "ASME B31.3-2018 Table 341.3.2"

# In inch: 4.7 mm = 0.18504, 1 mm = 0.03937, 3 - 1.6 = 1.4 mm = 0.05512, 2 mm = 0.07874, 1.6 mm = 0.06299, 0.8 mm = 0.03150.
# 9.9 °C = 49.82 °F, 177 °C = 350.6 °F. 12 V x 120 A x 60 s / 57 mm = 1515.8 J/mm = 38.50 kJ/in; 1.5 kJ/mm = 38.1 kJ/in.
# 1.09 x 0.179 in = 0.19511 in, over 6/32 in: the next is 7/32 in. Starts at 120 and 100 degrees, stops at 340 and 0: 20 apart.
TOLD: dict[str, tuple[str, ...]] = {
    "welded without a fit-up": ("none", "a fit-up", "", "", "p1", PRACTICE),
    "a gap under the least": ("1/32", "1/16", "in", "W-11", "f", WPS),
    "a gap over the greatest": ("3/16", "1/8", "in", "W-11", "f", WPS),
    "one of four readings too wide": ("0.185", "1/8", "in", "W-11", "f", WPS),
    "the least of four readings too narrow": ("0.039", "1/16", "in", "W-11", "f", WPS),
    "squareness as given": ("0.06299", "1/16", "in", "W-11", "f", WPS),
    "squareness from four readings": ("0.055", "0.039", "in", "W-11", "f", WPS),
    "high-low": ("0.079", "1/16", "in", "W-11", "f", WPS),
    "an unknown stamp": ("", "", "", "Z9", "p2", SECTION_IX),
    "an unknown tacker": ("", "", "", "Z9", "f", SECTION_IX),
    "no procedure": ("none", "a procedure", "", "", "p1", "ASME B31.3 328.2 (from memory)"),
    "a procedure for another base metal": ("base metal P-1 to P-1", "covers P-8", "", "W-11", "p1", WPS),
    "too many amps": ("151", "150", "A", "W-11", "p2", WPS),
    "too few amps": ("89", "90", "A", "W-11", "p2", WPS),
    "too little preheat": ("49.8", "50", "°F", "W-11", "p1", WPS),
    "too hot between passes": ("350.6", "350", "°F", "W-11", "p2", WPS),
    "too much heat input": ("38.5", "38.1", "kJ/in", "W-11", "p2", WPS),
    "another filler": ("ER70S-2", "ER70S-6", "", "W-11", "p2", WPS),
    "one pass too few": ("3", "4", "passes", "W-11", "p3", WPS),
    "no root": ("none", "a root pass", "", "W-11", "p1", WPS),
    "half of a root": ("open from 10 to 4", "all round", "", "", "p1", PRACTICE),
    "a root after the fill": ("fill, root", "root, hot, fill, cap", "", "", "p2", PRACTICE),
    "starts on top of each other": ("20", "30", "°", "W-11", "p2", WPS),
    "stops on top of each other across twelve": ("20", "30", "°", "W-11", "p3", WPS),
    "a leg too small": ("3/16", "7/32", "in", "", "e-VT", "ASME B31.3 Fig. 328.5.2C"),
    "an undercut too deep": ("0.0315", "1/32", "in", "", "e-VT", TABLE),
    "an indication over the table that was accepted": ("crack at 4:30", "none allowed (criterion A)", "", "VT", "e-VT", TABLE),
    "an examination not made": ("none", "PT", "", "PT", "", "exam plan P-1 PT 100 %"),
    "an unknown examiner": ("none", "certified for VT", "", "Nobody", "e-VT", "ASME B31.3 342 (from memory)"),
    "no heat on a side": ("none", "a heat number", "", "B", "", PRACTICE),
    "another heat read": ("H9", "H1", "", "H1", "f", f"{PLAN}heat A"),
    "a heat without certificate": ("none", "a certificate", "", "H1", "", PRACTICE),
    "a heat of another material": ("A333 Gr 6", "A106 Gr B", "", "H1", "", f"{PLAN}material A"),
    "phosphorus over its limit": (
        "P 0.04 %", "at most 0.035 %", "", "H1", "", "ASTM A106 Gr B newer edition (editions differ)"),
    "a piece on hold": ("on hold", "off hold", "", "3", "e1", PRACTICE),
    "a scrapped piece": ("scrapped", "a sound piece", "", "4", "e1", PRACTICE),
    "a piece cut without its mark": ("not transferred", "heat number on the part", "", "3A", "e1", PRACTICE),
    "a lot that nobody issued to the welder": ("no issue", "an issue to the welder", "", "L-1", "p2", PRACTICE),
    "a pass dated before its fit-up": ("2026-03-03", "2026-03-04", "", "", "p1", PRACTICE),
    "an examination dated before the weld": ("2026-03-02", "2026-03-03", "", "", "e-VT", PRACTICE),
    "a release dated before the examination": ("2026-03-03", "2026-03-04", "", "", "r", PRACTICE),
    "accepted and not released": ("none", "a release", "", "", "", PRACTICE),
    "an old revision": ("1", "2", "", "", "f", "drawing revision 2"),
}  # fmt: skip


def first(joint: JointFacts, **settings: object) -> Finding:
    return findings(joint, settings.get("job", JOB), settings.get("crew") or people())[0]  # type: ignore[arg-type]


def told(one: Finding) -> tuple[str, ...]:
    return one.measured, one.limit, one.unit, one.subject, one.record, one.source


@pytest.mark.parametrize("change", ON)
def test_a_finding_tells_what_was_measured_against_what_of_which_record(change: str) -> None:
    code, joint = ON[change]
    one = first(joint())
    assert told(one) == TOLD[change]
    assert (one.code, one.attempt, one.severity) == (code, "0", SEVERITY[code])


def test_a_figure_over_by_less_than_is_shown_gets_the_digits_that_show_it() -> None:
    # By hand: 0.8 mm is 0.031496 in, 1/32 in is 0.03125 in: 0.000246 in apart.
    one = first(released(examinations=(examination(undercut_mm=D("0.8")),)))
    assert one.steps[-1] == "0.0315 in is 0.00025 in over 1/32 in"
    # 3.176 mm is 0.125039 in, 1/8 in is 3.175 mm: 0.001 mm apart, 0.0000394 in.
    one = first(released(fit_ups=(fit_up(gap_mm=D("3.176")),)))
    assert one.steps[-1] == "0.125039 in is 0.000039 in over 1/8 in"
    assert one.message.startswith("Gap 0.125039 in, at most 1/8 in")


def test_a_figure_out_of_range_says_by_how_much() -> None:
    # 3/16 in over 1/8 in by 1/16 in; 1/32 in under 1/16 in by 1/32 in; 350.6 °F over 350 °F by 0.6 °F.
    for change, step in {
        "a gap over the greatest": "3/16 in is 1/16 in over 1/8 in",
        "a gap under the least": "1/32 in is 1/32 in under 1/16 in",
        "too hot between passes": "350.6 °F is 0.6 °F over 350 °F",
        "too many amps": "151 A is 1 A over 150 A",
    }.items():
        assert first(ON[change][1]()).steps[-1] == step


def test_an_examination_without_a_name_says_so() -> None:
    one = first(released(examinations=(examination(by=""),)))
    assert told(one)[:5] == ("", "a certified examiner", "", "VT", "e-VT")
    assert one.message == "The VT of 2026-03-04 names no examiner."


def test_an_examiner_whose_certification_ended_is_told_with_both_days() -> None:
    ended = replace(people().examiners["Quinn", "VT"], valid_until=EXAMINED - timedelta(1))
    one = first(released(), crew=people(examiners={("Quinn", "VT"): ended}))
    assert told(one)[:4] == ("2026-03-04", "2026-03-03", "", "Quinn")


def test_two_faults_of_a_certificate_are_told_together() -> None:
    # A106 Gr B: phosphorus and sulphur at most 0.035 %.
    both = heat("H1", "A106 Gr B", elements={"P": D("0.040"), "S": D("0.050")})
    one = first(released(heat_a=both))
    assert told(one)[:2] == ("P 0.04 %; S 0.05 %", "at most 0.035 %; at most 0.035 %")


def test_a_joint_that_is_only_planned_has_no_findings_though_its_piece_is_on_hold() -> None:
    held = PieceFacts("3", holds=(PieceEventFacts("e1", "on hold", FITTED),))
    assert findings(planned(piece_a=held), JOB, people()) == []


def test_a_pass_without_procedure_does_not_hide_the_next_one() -> None:
    other = replace(PROCEDURE, number="W-12", p_numbers=("8",))
    passes = (PASSES[0], replace(PASSES[1], procedure=other), PASSES[2])
    found = findings(welded(procedure=None, passes=passes), JOB, people())
    assert [one.subject for one in found if one.code == "procedure-not-applicable"] == ["W-12"]


def test_a_deposit_over_the_procedures_is_told_with_both() -> None:
    # NPS 4 Schedule 40: 6.02 mm = 0.237 in; 5 mm = 0.197 in.
    deposit: ProcedureFacts = replace(PROCEDURE, deposit_max_mm=D(5))
    joint = replace(
        released(), kind="butt", nps="4", schedule="40", od_mm=D("114.3"), wall_mm=D("6.02"), socket_class=""
    )
    one = first(replace(joint, procedure=deposit))
    assert (one.measured, one.limit) == ("deposit thickness 0.237 in", "at most 0.197 in")


def test_one_who_tacks_does_not_deposit_the_wall() -> None:
    # QW-452.1(b): 1 mm deposited in one layer qualifies 2 mm, less than the wall of 4.55 mm in a groove.
    thin = qualification(deposit_mm=D(1), layers=1)
    joint = replace(
        released(), kind="butt", nps="4", schedule="40", od_mm=D("114.3"), wall_mm=D("6.02"), socket_class=""
    )
    fitted_by = replace(joint.fit_ups[0], tack_stamp="A1")
    found = findings(replace(joint, fit_ups=(fitted_by,)), JOB, people(welder("A1", thin)))
    assert {one.code for one in found} == {"welder-not-qualified"}


def test_rows_of_one_role_are_numbered_for_their_limits() -> None:
    # Two fill rows: 90 to 150 A and, for the second, 100 to 130 A.
    rows = (procedure_pass("root"), procedure_pass("fill"), procedure_pass("fill", amps_min=D(100), amps_max=D(130)))
    three = (weld_pass(1, "root"), weld_pass(2, "fill"), weld_pass(3, "fill", amps=D(160)))
    found = findings(released(procedure=replace(PROCEDURE, passes=rows), passes=three), JOB, people())
    assert found and {one.code for one in found} == {"pass-out-of-range"}
