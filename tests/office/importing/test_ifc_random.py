"""Lines of pipe at random, written as IFC models in every form and read again: the steps are those set down beside them."""

import re
from pathlib import Path

import pytest

from office.importing import ifc
from office.importing.ifc import read_model
from tests.ifc_by_hand import told
from tests.ifc_forms import Form, Writing
from tests.ifc_lines import random_line

CI, SOAK = range(16), range(16, 416)
_FIGURE = re.compile(r"-?\d+(?:\.\d+)?")
_NEAR_MM = 0.05


def alike(step: str, wanted: str) -> bool:
    """Whether two steps are one, their figures to 0.05 mm."""
    figures = [[float(one) for one in _FIGURE.findall(text)] for text in (step, wanted)]
    return _FIGURE.sub("#", step) == _FIGURE.sub("#", wanted) and all(
        abs(a - b) <= _NEAR_MM for a, b in zip(*figures, strict=True)
    )


def comes_back(seed: int, folder: Path, monkeypatch: pytest.MonkeyPatch) -> int:
    """A line in a form of its own, read again; how many steps it has."""
    form = Form.of(seed)
    line = random_line(seed, is_bare=form.is_bare)
    path = Writing(line, form).write(folder / "line.ifc")
    monkeypatch.setattr(ifc, "_told", told)
    found = read_model(path, "SI")
    assert not found.unread, f"seed {seed}, {form}: {found.unread[0]}"
    assert [one.line for one in found.routes] == ["L-1"], f"seed {seed}, {form}: {found.notices}"
    (route,) = found.routes
    steps = [re.sub(" ;.*", "", one) for one in route.text.splitlines()]
    for step, wanted in zip(steps, line.steps, strict=False):
        assert alike(step, wanted), f"seed {seed}, {form}: {step!r}, wanted {wanted!r}\n{route.text}"
    assert len(steps) == len(line.steps), f"seed {seed}, {form}\n{route.text}"
    assert not route.faults, f"seed {seed}, {form}: {route.faults[0]}"
    assert len(found.taken) == (len(line.joints) if form.joins == "meeting" else 0), f"seed {seed}, {form}"
    return len(steps)


@pytest.mark.parametrize("seed", CI)
def test_a_line_comes_back_as_its_steps(seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert comes_back(seed, tmp_path, monkeypatch) > 0


@pytest.mark.soak
def test_hundreds_of_lines_come_back_as_their_steps(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    steps = sum(comes_back(seed, tmp_path, monkeypatch) for seed in SOAK)
    print(f"{len(SOAK)} lines, {steps} steps, all read back")
    assert steps > 4_000
