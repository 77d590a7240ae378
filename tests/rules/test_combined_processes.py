"""The deposit of a welder where a procedure combines two processes, as far as the passes tell."""

from dataclasses import replace

import pytest

from rules.case import open_case
from rules.deposits import findings as of_deposits
from rules.facts import JobFacts, PassFacts, ProcedureFacts
from rules.judge import findings, requirements
from tests.rules.cast import JOB, PROCEDURE, SI_JOB, D, butt, people, procedure_pass, qualification, weld_pass, welder

BOTH = replace(
    PROCEDURE,
    processes=("GTAW", "SMAW"),
    passes=(
        procedure_pass("root"),
        procedure_pass("fill"),
        procedure_pass("cap"),
        procedure_pass("cap", process="SMAW", filler="E7018", f_number="4"),
    ),
)
# t = 2 mm qualifies 2t = 4 mm (QW-452.1(b)); the wall is 6.02 mm.
THIN = qualification(deposit_mm=D(2), layers=1)
STICK = qualification(wpq="Q-2", process="SMAW", f_number="4", deposit_mm=D(2), layers=1)
ALL_GTAW = (weld_pass(1, "root"), weld_pass(2, "fill"), weld_pass(3, "cap"))
STICK_CAP = weld_pass(3, "cap", process="SMAW", filler_classification="E7018", amps=D(120))


def against(passes: tuple[PassFacts, ...], job: JobFacts = JOB, procedure: object = BOTH) -> set[str]:
    """What is measured of welders who are not qualified for these passes."""
    joint = butt(procedure=procedure, passes=passes)
    crew = people(welder("A1", THIN, STICK))
    return {one.measured for one in findings(joint, job, crew) if one.code == "welder-not-qualified"}


def test_a_weld_by_one_process_from_root_to_cap_is_the_deposit_of_its_welder() -> None:
    assert against(ALL_GTAW) == {"deposit thickness 0.237 in"}


@pytest.mark.parametrize(
    "passes",
    [
        (*ALL_GTAW[:2], STICK_CAP),  # each process deposits a part
        ALL_GTAW[:2],  # the cap may be by the other
        ALL_GTAW[1:],  # the root is not told
        (*ALL_GTAW[:2], weld_pass(3, "cap", stamp="B2")),  # each welder deposits a part
    ],
)
def test_a_deposit_that_passes_do_not_tell_is_not_judged(passes: tuple[PassFacts, ...]) -> None:
    assert not any("deposit" in one for one in against(passes))


def test_a_job_that_records_no_passes_tells_nothing_of_their_processes() -> None:
    assert against(ALL_GTAW, replace(JOB, recording="joint")) == set()


def test_two_processes_under_a_procedure_of_one_are_no_deposit_of_the_wall() -> None:
    assert not any("deposit" in one for one in against((*ALL_GTAW[:2], STICK_CAP), procedure=PROCEDURE))
    assert against(ALL_GTAW, procedure=PROCEDURE) == {"deposit thickness 0.237 in"}


# Wall 6.02 mm = 0.237 in. By QW-452.1(b) a deposit t of 1.4 mm qualifies 2.8 mm, 1.7 mm 3.4 mm, 2 mm 4 mm.
def shared(gtaw: str, smaw: str, *, job: JobFacts = JOB, cap: PassFacts = STICK_CAP, **stick: object) -> list[str]:
    """What is said of the deposit of a weld with root and fill by GTAW and the cap by SMAW."""
    joint = butt(procedure=BOTH, passes=(*ALL_GTAW[:2], cap))
    crew = people(
        welder("A1", replace(THIN, deposit_mm=D(gtaw)), replace(STICK, deposit_mm=D(smaw), **stick)),  # type: ignore[arg-type]
        welder("B2", replace(STICK, deposit_mm=D(smaw))),
    )
    return [one.message for one in findings(joint, job, crew) if "together" in one.message]


def test_tests_that_do_not_add_up_to_the_wall_are_told() -> None:
    # 2.8 + 2.8 = 5.6 mm under 6.02 mm; 2.8 + 3.4 = 6.2 mm over it.
    assert shared("1.4", "1.4", job=SI_JOB) == [
        "The tests of A1 by GTAW and A1 by SMAW allow 5.6 mm of deposit together, and the wall is 6.02 mm."
    ]
    assert shared("1.4", "1.7", job=SI_JOB) == []
    two = shared("1.4", "1.4", job=SI_JOB, cap=replace(STICK_CAP, stamp="B2"))
    assert two == ["The tests of A1 by GTAW and B2 by SMAW allow 5.6 mm of deposit together, and the wall is 6.02 mm."]


def test_the_arithmetic_of_each_share_stands_beside_it() -> None:
    joint = butt(procedure=BOTH, passes=(*ALL_GTAW[:2], STICK_CAP))
    crew = people(welder("A1", replace(THIN, deposit_mm=D("1.4")), replace(STICK, deposit_mm=D("1.4"))))
    [one] = of_deposits(open_case(joint, SI_JOB), crew)
    assert (one.code, one.severity, one.record, one.subject) == ("welder-not-qualified", "stop", "p3", "A1")
    assert (one.measured, one.limit, one.unit) == ("6.02", "5.6", "mm")
    assert "QW-452.1(b)" in one.source
    assert one.steps == (
        "A1 by GTAW: 2 x 1.4 mm = 2.8 mm", "A1 by SMAW: 2 x 1.4 mm = 2.8 mm", "together 5.6 mm, wall 6.02 mm",
    )  # fmt: skip


def test_an_unlimited_or_unknown_test_says_nothing_of_the_sum() -> None:
    # 13 mm in three layers is unlimited; a fillet test has no deposit.
    assert shared("1.4", "13", job=SI_JOB, layers=3) == []
    assert shared("1.4", "1.4", job=SI_JOB, weld="fillet") == []
    assert shared("1.4", "1.4", job=SI_JOB, cap=replace(STICK_CAP, stamp="C3")) == []
    assert shared("1.4", "1.4", job=replace(SI_JOB, recording="joint")) == []
    assert shared("1.4", "1.4", job=SI_JOB, cap=replace(STICK_CAP, role="fill")) == []


def test_a_combined_procedure_says_that_no_share_is_judged_by_itself() -> None:
    def steps(procedure: ProcedureFacts) -> set[str]:
        asked = requirements(butt(procedure=procedure), JOB, people())
        return {step for one in asked if one.id.startswith("stamp:") for step in one.steps}

    [told] = steps(BOTH)
    assert told.startswith("no pass records its thickness")
    assert steps(PROCEDURE) == set()
