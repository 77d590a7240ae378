"""The deposit of a welder where a procedure combines two processes, as far as the passes tell."""

from dataclasses import replace

import pytest

from rules.facts import JobFacts, PassFacts
from rules.judge import findings
from tests.rules.cast import JOB, PROCEDURE, D, butt, people, procedure_pass, qualification, weld_pass, welder

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
