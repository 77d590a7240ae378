"""The mutants of the rules: which changes are made, and what is said of a change that a test notices or not."""

import ast
import os
import subprocess
import sys
from pathlib import Path

import pytest

from bench.mutants.changes import changes
from bench.mutants.choosing import drawn
from bench.mutants.made import compiled, mutants
from bench.mutants.report import wilson

ROOT = Path(__file__).resolve().parents[2]
SMALL = '''"""A small rule."""


def least(a: int, b: int) -> int:
    """The smaller of two."""
    return a if a < b else b


def unused() -> str:
    return f"{1}"
'''
TRIAL = """
from pathlib import Path
from bench.mutants.__main__ import reached, tried_one
from bench.mutants.made import mutants
root = Path.cwd()
reach = reached(root)
for one in mutants(root, "rules/small.py"):
    print(tried_one(root, one, reach), one.kind, one.after, sep="|")
"""


# By hand: what else could stand there.
@pytest.mark.parametrize(
    ("code", "others"),
    [
        ("a < b", ["a <= b"]),
        ("a >= b", ["a > b"]),
        ("a is None", ["a is not None"]),
        ("a <= b < c", ["a < b < c", "a <= b <= c"]),
        ("a + b", ["a - b"]),
        ("a and b", ["a or b"]),
        ("not a", ["a"]),
        ("a if b else c", ["a", "c"]),
        ("3", ["4"]),
        ("'3.2'", ["'4.2'"]),
        ("'gap'", ["'XXgapXX'"]),
        ("True", ["False"]),
        ("(a, b)", ["(b,)"]),
        ("{a: 1, b: 2}", ["{b: 2}"]),
        ("min(a, b)", ["min(None, b)", "min(a, None)", "max(a, b)"]),
        ("f(a, b=c)", ["f(None, b=c)", "f(a)"]),
        ("f('told')", []),
        ("lambda: a", ["lambda: None"]),
    ],
)
def test_an_expression_is_changed_in_one_place(code: str, others: list[str]) -> None:
    assert [ast.unparse(node) for _, node in changes(ast.parse(code, mode="eval").body)] == others


@pytest.mark.parametrize(
    ("code", "others"),
    [
        ("x = a", ["x = None"]),
        ("x += a", ["x -= a"]),
        ("f(a)", ["pass"]),
        ("if a:\n    b", ["if not a:\n    b"]),
        ("continue", ["break"]),
    ],
)
def test_a_statement_is_changed_in_one_place(code: str, others: list[str]) -> None:
    assert [ast.unparse(ast.fix_missing_locations(node)) for _, node in changes(ast.parse(code).body[0])] == others


def test_what_readers_read_and_types_are_left_alone(tmp_path: Path) -> None:
    (tmp_path / "a.py").write_text('"""A module."""\nimport re\n\n__slots__ = ("a", "b")\nx: tuple[int, str]\n')
    assert mutants(tmp_path, "a.py") == []


def test_text_with_a_space_or_in_a_sentence_is_wording(tmp_path: Path) -> None:
    (tmp_path / "a.py").write_text("X = ['gap', 'the gap', f'gap{1}']\n")
    kinds = [(one.before, one.kind) for one in mutants(tmp_path, "a.py") if "word" in one.kind]
    assert kinds == [("'gap'", "word or code"), ("'the gap'", "wording"), ("'gap'", "wording")]


def test_every_mutant_of_the_rules_is_code_and_is_not_the_rule_itself() -> None:
    listed = mutants(ROOT, "rules/gap.py")
    sound = compile((ROOT / "rules/gap.py").read_text(), str(ROOT / "rules/gap.py"), "exec")
    assert len(listed) > 50
    assert all(compiled(ROOT, one) != sound for one in listed)


def test_a_sample_is_the_same_for_the_same_draw_and_takes_of_each_file_by_its_size() -> None:
    every = {path: mutants(ROOT, path) for path in ("rules/gap.py", "rules/units.py", "rules/welder.py")}
    whole, sample = sum(map(len, every.values())), drawn(every, 60, 3)
    assert sample == drawn(every, 60, 3) != drawn(every, 60, 4)
    assert len(set(sample)) == 60
    for path, listed in every.items():
        assert abs(sum(one.path == path for one in sample) - 60 * len(listed) / whole) <= 1
    assert len(drawn(every, None, 3)) == whole


# Newcombe, Statistics in Medicine 17 (1998) 857-872, table I, method 3 (score, no correction): checked against the paper's figures
# as remembered, and 0 of 20 by hand: 3.8415 / (20 + 3.8415) = 0.1611.
@pytest.mark.parametrize(
    ("successes", "tried", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_the_interval_of_a_share_is_wilsons(successes: int, tried: int, low: float, high: float) -> None:
    assert wilson(successes, tried) == pytest.approx((low, high), abs=0.00005)


def test_a_change_that_a_test_notices_is_killed_and_another_survives(tmp_path: Path) -> None:
    for folder in ("rules", "tests/rules", "tests/published"):
        (tmp_path / folder).mkdir(parents=True)
    (tmp_path / "rules/__init__.py").touch()
    (tmp_path / "rules/small.py").write_text(SMALL)
    told = "from rules.small import least\n\n\ndef test_least():\n    assert (least(1, 2), least(2, 1)) == (1, 1)\n"
    (tmp_path / "tests/rules/test_small.py").write_text(told)
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    run = subprocess.run([sys.executable, "-c", TRIAL], cwd=tmp_path, env=environment, capture_output=True, text=True)
    assert run.stdout.splitlines() == [
        "killed|value to None|return None",
        "killed|one branch always|a",
        "killed|one branch always|b",
        "survived|comparison|a <= b",
        "not reached|number|2",
    ], run.stderr
