"""Measure the rules alone: what joints ask, and what their records show, over facts in memory and on one core."""

from collections.abc import Iterator, Sequence

from bench import told
from bench.measuring import Measure, Time, timed
from rules.facts import JointFacts, People
from rules.judge import findings, requirements

JOINTS, BATCH = 200_000, 2_000
TARGET = 20_000
# Of every joint: the gap and its greatest, squareness, high-low, two heats and the revision on its fit-up alone.
LEAST_ASKED = 7


def measures() -> Iterator[Measure]:
    """Requirements and findings of 200,000 joints; the floor is to look at each value of the facts once."""
    people = told.people()
    runs, floors, sick = [], [], 0
    for batch in told.batches(JOINTS, BATCH):
        floors.append(timed(lambda joints=batch: _look(joints)))
        runs.append(timed(lambda joints=batch: _judge(joints, people)))
        sick += _prove(batch, people)
    if sick != len(told.problems(JOINTS)):
        raise AssertionError(f"{sick} joints have findings, not the {len(told.problems(JOINTS))} that are told of")
    run, floor = _together(runs), _together(floors)
    rate = JOINTS / run.cpu
    yield Measure(
        name="rules-in-memory",
        value=round(rate),
        unit="joints/s",
        rows=JOINTS,
        floor=round(JOINTS / floor.cpu),
        ratio=round(run.cpu / floor.cpu, 2),
        target=f"at least {TARGET:,} joints/s on one core",
        met=rate >= TARGET,
        cpu=round(run.cpu, 2),
    )


def _judge(joints: Sequence[JointFacts], people: People) -> None:
    for joint in joints:
        requirements(joint, told.JOB)
        findings(joint, told.JOB, people)


def _prove(joints: Sequence[JointFacts], people: People) -> int:
    """How many have findings; every one asks something."""
    if any(len(requirements(joint, told.JOB)) < LEAST_ASKED for joint in joints):
        raise AssertionError("a joint asks less than its fit-up alone does")
    return sum(bool(findings(joint, told.JOB, people)) for joint in joints)


def _look(joints: Sequence[JointFacts]) -> None:
    for joint in joints:
        for one in (joint, *joint.fit_ups, *joint.passes, *joint.examinations, *joint.repairs, *joint.releases):
            for name in one.__slots__:
                getattr(one, name)


def _together(times: Sequence[Time]) -> Time:
    return Time(sum(one.wall for one in times), sum(one.cpu for one in times))
