"""The joints that are told in memory are what the benchmark says: sound, but for one in fifty."""

from bench import told
from rules.judge import judged, requirements

JOINTS = 400


def test_joints_have_findings_where_problems_are_told() -> None:
    people, joints = told.people(), [joint for batch in told.batches(JOINTS, 150) for joint in batch]
    sick = [index for index, joint in enumerate(joints) if judged(joint, told.JOB, people)[1]]
    assert sick == list(told.problems(JOINTS)) == [45, 95, 145, 195, 245, 295, 345, 395]


def test_joints_are_of_every_kind_and_some_were_repaired() -> None:
    joints = next(told.batches(JOINTS, JOINTS))
    states = [judged(joint, told.JOB, told.people())[0] for joint in joints]
    assert {joint.kind for joint in joints} == set(told.KINDS)
    assert sum(derived.attempt == "R1" for derived in states) == 10
    assert {derived.state for derived in states} == {"released"}


def test_every_joint_asks_all_that_its_card_shows() -> None:
    asked = {one.id for joint in next(told.batches(5, 5)) for one in requirements(joint, told.JOB)}
    assert {"gap", "heat-a", "revision", "amps:root", "filler:cap", "heat-input", "passes", "leg", "undercut"} <= asked
