"""Routes made at random: everything closes along each axis, each end is welded once, each angle is exact."""

import hashlib
import os
import subprocess
import sys
from collections import Counter
from decimal import Decimal as D

import pytest

from rules.route.geometry import shape_of_text
from rules.route.parse import parse_route
from rules.route.parts import Setting
from rules.route.shape import BOLTED, BUTT, ELBOWS, FREE, ON_PIPE, PAD, SLIP_ON, SOCKET
from rules.route.step import route_text
from rules.route.vector import angle_between
from tests.rules.route.generated import random_route

EXACT = D("1e-15")
CI, SOAK = range(50), range(1000)


def shape(seed: int):
    text, nps, schedule = random_route(seed)
    found = shape_of_text(text, Setting(nps, schedule, spool_prefix="S-"))
    assert not found.faults, f"seed {seed}: {found.faults[0]}\n{text}"
    return found


def closes(found) -> None:
    """Each pipe's axis sum: take-out + gap + cut without allowance + gap + take-out is the way between its nodes."""
    nodes = {one.number: one.at for one in found.nodes}
    for pipe in found.pipes:
        whole = sum(pipe.takeouts_mm) + sum(pipe.gaps_mm) + pipe.cut_mm - pipe.allowance_mm
        way = nodes[pipe.end] - nodes[pipe.start]
        for part, share in zip(way.parts(), pipe.direction.parts(), strict=True):
            assert abs(part - share * whole) < EXACT
        assert pipe.cut_mm > 0


def welded_once(found) -> None:
    """Every end that is welded belongs to one joint, and no joint has others."""
    ends = Counter()
    for part in found.components:
        if part.kind != PAD:
            ends[part.mark] = sum(one.joined in (SOCKET, BUTT, SLIP_ON, ON_PIPE) for one in part.ends)
    counted = Counter()
    for joint in found.joints:
        if joint.kind not in ("pad", "branch"):
            counted.update((joint.piece_a, joint.piece_b))
    pipes = {one.mark for one in found.pipes}
    assert {mark: count for mark, count in counted.items() if mark not in pipes} == {m: c for m, c in ends.items() if c}
    pairs = Counter((one.piece_a, one.piece_b, one.part) for one in found.joints)
    assert set(pairs.values()) <= {1}
    stubs = sum(one.kind == PAD for one in found.components)
    assert sum(one.kind == "pad" for one in found.joints) == 2 * stubs
    assert not any(one.joined == FREE for part in found.components for one in part.ends)


def meets(found) -> None:
    """Beside every fitting's welded end stands a pipe's end or another fitting's, one gap or insertion away."""
    tips = [tip for one in found.pipes for tip in (one.first, one.last)]
    tips += [one.at for part in found.components for one in part.ends if one.joined != BOLTED]
    for part in found.components:
        for end in part.ends:
            if end.joined in (SOCKET, BUTT, SLIP_ON):
                near = min(
                    (tip - end.at - end.outward.times(gap)).length()
                    for tip in tips
                    for gap in (D("1.5"), D(3), D(0))
                    if tip is not end.at
                )
                assert near < EXACT


def exact_angles(found) -> None:
    for part in found.components:
        if part.kind in ELBOWS:
            turn = angle_between(-part.ends[0].outward, part.ends[1].outward)
            nominal = 90 if part.kind == "elbow-90" else 45
            assert abs(turn - nominal) < 1e-9
        if part.kind == "tee":
            assert part.ends[0].outward.dot(part.ends[2].outward) == 0
    for pipe in found.pipes:
        assert abs(pipe.direction.length() - 1) < EXACT


def checked(seeds) -> tuple[int, int]:
    joints = []
    for seed in seeds:
        found = shape(seed)
        closes(found)
        welded_once(found)
        meets(found)
        exact_angles(found)
        joints.append(len(found.joints))
    return min(joints), max(joints)


def test_generated_routes_close():
    assert checked(CI)[1] > 40


@pytest.mark.soak
def test_a_thousand_generated_routes_close():
    print("joints a route:", checked(SOAK))


def test_written_again_a_route_says_the_same():
    for seed in CI:
        steps, _ = parse_route(random_route(seed)[0], "SI")
        again, faults = parse_route(route_text(steps), "SI")
        assert not faults
        assert [(one.item, one.texts) for one in again] == [(one.item, one.texts) for one in steps]


PRINT = "import tests.rules.route.test_generated as t; print(t.digest())"


def digest() -> str:
    return hashlib.sha256("".join(repr(shape(seed)) for seed in range(8)).encode()).hexdigest()


@pytest.mark.parametrize("seed", ["1", "4711"])
def test_the_same_for_any_hash_seed(seed):
    run = subprocess.run(
        [sys.executable, "-c", PRINT],
        env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": "."},
        capture_output=True,
        text=True,
        check=True,
    )
    assert run.stdout.strip() == digest()
