"""Finished isometrics, measured on the boxes and strokes taken back out of the PDF."""

import re
import shutil
import subprocess
import sys
from collections import Counter
from dataclasses import replace
from itertools import combinations
from pathlib import Path
from random import Random

import pytest

from reports.drawing import Words
from reports.isometric.drawn import Isometric
from reports.isometric.paper import isometric_pdf
from reports.isometric.placement.flat import Box, boxes_meet, stroke_meets_box, strokes_cross, widened
from reports.isometric.sheet import sheets
from tests.reports.isometric.reading import Page, drawing_pages
from tests.reports.isometric.walks import walk
from tests.reports.papers import texts

PAPERS = ("A4", "A3", "Letter", "Tabloid")
SEEDS = range(50)
OFF = 0.3  # points that a box keeps off a line, lest it be taken for a part of it


def drawing(seed: int) -> Isometric:
    """A route of 5 to 120 joints, of butt or socket welds, plain or with many branches or skew runs."""
    draw = Random(seed).random
    made = walk(
        5 + int(draw() * 116),
        seed,
        branches=0.35 if draw() < 0.2 else 0.15,
        skew=0.4 if draw() < 0.2 else 0.06,
        kind="socket" if draw() < 0.4 else "butt",
    )
    return replace(made, paper=PAPERS[seed % 4], as_built=seed % 3 == 0)


def faults(page: Page) -> list[str]:
    """Whatever on a page lies on something else that it must keep off."""
    found = []
    for (one, left), (other, right) in combinations(page.words, 2):
        if boxes_meet(left, right):
            found.append(f"{one!r} runs into {other!r}")
    for text, box in page.words:
        for name, boxes in (("a ring", page.rings),):
            found += [f"{text!r} runs into {name}" for ring in boxes if boxes_meet(box, smaller(ring))]
        for name, strokes in (("a pipe", page.pipes), ("a leader", page.leaders), ("a line", page.others)):
            found += [f"{text!r} stands on {name}" for stroke in strokes if stroke_meets_box(stroke, box)]
    found += [
        "two rings meet" for one, other in combinations(page.rings, 2) if boxes_meet(smaller(one), smaller(other))
    ]
    found += [
        "a ring is on a pipe" for ring in page.rings for pipe in page.pipes if stroke_meets_box(pipe, smaller(ring))
    ]
    for frame in page.frames:
        near = widened(frame, OFF)
        found += ["a box stands on a line" for one in (*page.pipes, *page.others) if stroke_meets_box(one, near)]
        found += ["a leader runs through a box" for one in page.leaders if stroke_meets_box(one, frame)]
        found += ["a box meets a ring" for ring in page.rings if boxes_meet(frame, smaller(ring))]
        found += [
            f"{text!r} runs into a box" for text, box in page.words if boxes_meet(box, frame) and not inside(box, frame)
        ]
    found += ["two boxes meet" for one, other in combinations(page.frames, 2) if boxes_meet(one, other)]
    for ring in page.rings:
        found += ["a ring is on a line" for one in page.others if stroke_meets_box(one, smaller(ring))]
    found += ["a dimension line leaves the room" for one in page.measured if min(one[1], one[3]) < page.base]
    for line in page.measured:
        found += ["a dimension line runs across a pipe" for pipe in page.pipes if strokes_cross(line, pipe)]
    found += ["two leaders cross" for one, other in combinations(page.leaders, 2) if strokes_cross(one, other)]
    return found


def inside(box: Box, frame: Box) -> bool:
    """Whether a box lies in a frame."""
    return frame[0] <= box[0] and frame[1] <= box[1] and box[2] <= frame[2] and box[3] <= frame[3]


def smaller(ring: Box) -> Box:
    """The ring itself: its form is drawn a little wider."""
    return ring[0] + 0.5, ring[1] + 0.5, ring[2] - 0.5, ring[3] - 0.5


def numbers(pages: list[Page]) -> list[str]:
    """The word beside each ring, to its right or left on the same level."""
    found = []
    for page in pages:
        for ring in page.rings:
            level = (ring[1] + ring[3]) / 2
            beside = [
                (min(abs(box[0] - ring[2]), abs(ring[0] - box[2])), text)
                for text, box in page.words
                if box[1] < level < box[3]
            ]
            found.append(min(beside)[1])
    return found


def check(made: Isometric) -> None:
    content = isometric_pdf(made)
    pages = drawing_pages(content)
    assert [fault for page in pages for fault in faults(page)] == []
    assert Counter(numbers(pages)) == Counter(weld.joint.number for weld in made.welds)
    written = Counter(text.removeprefix("L ") for page in pages for text, _ in page.words)
    assert Counter(one.words for one in made.dimensions) <= written
    for mark in made.marks:
        assert all(written[line] for line in mark.words.split("\n")), mark


@pytest.mark.parametrize("seed", SEEDS)
def test_nothing_lies_on_anything_else_and_every_joint_stands_once(seed: int) -> None:
    check(drawing(seed))


@pytest.mark.soak
def test_a_thousand_routes() -> None:
    joints = 0
    for seed in range(1000):
        made = drawing(seed)
        try:
            check(made)
        except AssertionError:
            print(f"seed {seed}")
            raise
        joints += len(made.welds)
    print(f"1,000 routes with {joints:,} joints: nothing on anything else, every joint once")


def test_the_tables_name_every_joint_piece_and_cut() -> None:
    made = drawing(3)
    whole = " ".join(texts(isometric_pdf(made)))
    assert "Bill of material" in whole and "Cut list" in whole
    for row in made.cuts:
        assert row.length in whole
    rows = re.findall(r"V groove", whole)
    assert len(rows) == len(made.welds)


def test_as_built_adds_stamps_and_dates() -> None:
    made = replace(drawing(3), as_built=True)
    built, planned = (" ".join(texts(isometric_pdf(one))) for one in (made, replace(made, as_built=False)))
    assert built.count("2026-10-05") == len(made.welds)
    assert "A1 / A1 / B2" in built
    assert "2026-10-05" not in planned


def test_a_long_line_goes_on_at_a_joint_that_both_sheets_name() -> None:
    made = replace(walk(70, 5), paper="A4")
    pages = drawing_pages(isometric_pdf(made))
    assert len(pages) > 1
    matches = Counter(text for page in pages for text, _ in page.words if text.startswith("Match"))
    assert matches and all(count >= 2 for count in matches.values())


def test_says_how_many_labels_found_no_place() -> None:
    made = walk(5, 1)
    (sheet,) = sheets(replace(made, welds=(), marks=made.marks * 30), (0.0, 0.0, 330.0, 240.0))
    assert sheet.arranged.homeless > 0
    assert [shape.text for shape in sheet.corner if isinstance(shape, Words)][-1] == (
        f"{sheet.arranged.homeless} labels found no free place; take larger paper."
    )


@pytest.mark.parametrize("paper", PAPERS)
def test_an_empty_drawing_says_so(paper: str) -> None:
    made = replace(walk(5, 1), legs=(), welds=(), dimensions=(), marks=(), bill=(), cuts=(), paper=paper)
    assert "No joint on this drawing." in " ".join(texts(isometric_pdf(made)))


def test_the_same_bytes_on_every_run_and_hash_seed() -> None:
    code = (
        "import hashlib;"
        "from tests.reports.isometric.test_drawings import drawing;"
        "from reports.isometric.paper import isometric_pdf;"
        "print([hashlib.sha256(isometric_pdf(drawing(seed))).hexdigest() for seed in (1, 4, 7)])"
    )
    root = Path(__file__).parents[3]
    made = {
        subprocess.run(
            [sys.executable, "-c", code],
            cwd=root,
            env={"PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("0", "1", "77")
    }
    assert len(made) == 1


@pytest.mark.skipif(shutil.which("qpdf") is None, reason="qpdf is not installed")
@pytest.mark.parametrize("seed", [1, 2, 8])
def test_passes_qpdf(seed: int, tmp_path: Path) -> None:
    target = tmp_path / "iso.pdf"
    target.write_bytes(isometric_pdf(drawing(seed)))
    done = subprocess.run(["qpdf", "--check", str(target)], capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
