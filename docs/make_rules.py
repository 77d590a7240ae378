"""Write docs/rules.md from the tables, the rules and the published checks: python -m docs.make_rules."""

import ast
import csv
import sys
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from importlib import import_module
from pathlib import Path
from types import FrameType
from typing import Any

from rules.calculators.described import DESCRIBED
from rules.codes import SEVERITY
from rules.compute import CALCULATORS, compute
from rules.source import Source
from rules.tables import Table, table, table_names

PAGE = Path(__file__).with_name("rules.md")
ROOT = PAGE.parents[1]
PUBLISHED = ROOT / "tests" / "published"
OPENING = """# Rules

Every table and every rule, with its source, its edition, how sure it is, and the checks that hold it. This page is
written by `python -m docs.make_rules` from the code and the check files; a test compares it with both.

**States.** *checked*: the value, or every input and the rule, was seen in a public source. *memory*: known, not seen.
*conflict*: editions or sources differ, so that it is a setting. *job*: the crew's own figure. *practice*: common
practice, no source. The contract's own copy of a standard governs: an engineer confirms a table against it.

**Checks.** C-numbers stand in `tests/published/checks.csv`, each with its source and state; P-numbers in
`practice.csv` are facts of the trade without a source. Every figure of every table is entered a second time under
`tests/published/second/`, or worked out there by a rule; a figure changed by its last digit makes a test fail. The
suite tries some figures of each table, `make soak` every one.
"""


def document() -> str:
    """The page as it should stand."""
    checks, asked_by = published(), callers()
    parts = [OPENING, "## Tables\n"]
    for name in table_names():
        parts += _table(table(name), checks)
    parts += ["## Rules\n", "| rule | says | source | asked by | held by |", "|---|---|---|---|---|"]
    parts += [_rule(module, rule, asked_by, checks) for module, rule in rules()]
    parts += ["", "## Findings\n", "What each says stands in [state-and-findings.md](state-and-findings.md).\n"]
    parts += ["| finding | weighs | written in | published checks |", "|---|---|---|---|"]
    parts += [_finding(code, severity, checks) for code, severity in SEVERITY.items()]
    parts += [
        "",
        "## Calculators\n",
        "| calculator | source of its example | state | published checks |",
        "|---|---|---|---|",
    ]
    parts += [_calculator(name, checks) for name in CALCULATORS]
    return "\n".join([*parts, ""])


def published() -> Mapping[str, list[str]]:
    """The numbers of the published checks by the calculator, or finding, that answers them."""
    answered = defaultdict(list)
    for row in _rows("coverage.csv"):
        answered[row["topic"]].append(row["rule"])
    numbers: dict[str, list[str]] = defaultdict(list)
    for row in (*_rows("checks.csv"), *_rows("practice.csv")):
        for rule in answered[row["topic"]]:
            numbers[rule].append(row["id"])
    return numbers


def rules() -> Iterator[tuple[str, ast.FunctionDef]]:
    """The public functions of `rules` that name a source, module by module."""
    for path in sorted((ROOT / "rules").glob("*.py")):
        for one in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(one, ast.FunctionDef) and not one.name.startswith("_") and _said(one, "Source"):
                yield path.stem, one


def callers() -> Mapping[tuple[str, str], list[str]]:
    """Which calculators ask each rule, seen while they answer their examples."""
    found: dict[tuple[str, str], list[str]] = defaultdict(list)
    for name, about in DESCRIBED.items():
        for module, rule in sorted(_called(name, about.example)):
            found[module, rule].append(name)
    return found


def _called(name: str, example: Mapping[str, str]) -> set[tuple[str, str]]:
    seen: set[tuple[str, str]] = set()

    def note(frame: FrameType, event: str, _: Any) -> None:
        module = frame.f_globals.get("__name__", "")
        if event == "call" and module.startswith("rules."):
            seen.add((module.removeprefix("rules."), frame.f_code.co_name))

    _forget()
    before = sys.getprofile()
    sys.setprofile(note)
    try:
        compute(name, example)
    finally:
        sys.setprofile(before)
    return seen


def _forget() -> None:
    """Empty what the rules remember, so that a rule is seen to be asked."""
    for path in (ROOT / "rules").glob("*.py"):
        for one in vars(import_module(f"rules.{path.stem}")).values():
            if hasattr(one, "cache_clear"):
                one.cache_clear()


def _table(one: Table, checks: Mapping[str, list[str]]) -> list[str]:
    states = Counter(row["state"] for row in one.rows)
    us = Counter(row["state_us"] for row in one.rows if "state_us" in row)
    users = [name for name, about in DESCRIBED.items() if one.name in about.tables]
    numbers = [number for name in users for number in checks.get(name, ())]
    lines = [
        f"### {one.name}\n",
        f"{one.title}\n",
        f"- Source: {one.source}",
        f"- Edition: {one.edition}",
        f"- Units: {one.units}",
        f"- State: {one.state}. Rows: {_counted(states)}{f'; US figures: {_counted(us)}' if us else ''}",
        f"- Second entry: {', '.join(second_entries(one.name))}",
        f"- Calculators: {', '.join(users) or 'none; the joint and welder rules read it'}",
        f"- Published checks: {shortened(numbers) or 'none'}",
    ]
    return [*lines, ""]


# The second entries that are laid out like their standard; the other tables stand in by_column.toml.
_SECOND = {
    "pipe": ("pipe_b36_10.csv",),
    "socket_fittings": ("socket_fittings_b16_11.csv", "socket_fittings_us.csv"),
    "buttweld_fittings": ("buttweld_fittings_b16_9.csv", "buttweld_fittings_us.csv"),
    "flanges": ("flanges_b16_5.csv", "flanges_us.csv"),
    "acceptance_b31_3": ("acceptance_matrix.csv",),
    "acceptance_methods_b31_3": ("acceptance_matrix.csv",),
    "certificates": ("chemistry.csv", "strengths.csv"),
}


def second_entries(name: str) -> tuple[str, ...]:
    """The files in which a table's figures are entered a second time."""
    return _SECOND.get(name, ("by_column.toml",))


def _rule(
    module: str, rule: ast.FunctionDef, asked_by: Mapping[tuple[str, str], list[str]], checks: Mapping[str, list[str]]
) -> str:
    users = asked_by.get((module, rule.name), [])
    numbers = shortened(number for name in users for number in checks.get(name, ()))
    held = ", ".join(filter(None, [numbers, *(f"`{name}`" for name in tests_of(module, rule.name))]))
    says = (ast.get_docstring(rule) or "").split("\n\n")[0].split("\n    ")[0].replace("\n", " ")
    cells = (f"`{module}.{rule.name}`", says, _said(rule, "Source"), ", ".join(users) or "joints", held)
    return f"| {' | '.join(_cell(one) for one in cells)} |"


def _finding(code: str, severity: str, checks: Mapping[str, list[str]]) -> str:
    files = [path for path in sorted((ROOT / "rules").glob("*.py")) if path.name != "codes.py"]
    written = [f"`{path.stem}`" for path in files if f'"{code}"' in path.read_text(encoding="utf-8")]
    return (
        f"| `{code}` | {severity} | {', '.join(written)} | {shortened(checks.get(f'finding {code}', ())) or 'none'} |"
    )


def _calculator(name: str, checks: Mapping[str, list[str]]) -> str:
    found = compute(name, DESCRIBED[name].example)["source"]
    source = Source(found["code"], found["edition"], found["clause"])
    return f"| {name} | {_cell(str(source))} | {found['state']} | {shortened(checks.get(name, ())) or 'none'} |"


def tests_of(module: str, rule: str) -> list[str]:
    """The test files of the rules that import one of them by name, or all its module."""
    return [path.name for path in sorted((ROOT / "tests" / "rules").glob("test_*.py")) if _imports(path, module, rule)]


def _imports(path: Path, module: str, rule: str) -> bool:
    names = (one for one in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) if isinstance(one, ast.ImportFrom))
    return any(one.module == f"rules.{module}" and rule in {name.name for name in one.names} for one in names)


def _said(rule: ast.FunctionDef, key: str) -> str:
    """What a docstring says after `key`, its continuation lines joined; empty where it says nothing."""
    lines = iter((ast.get_docstring(rule) or "").splitlines())
    said: list[str] = []
    for line in lines:
        if said and not line.startswith("    "):
            break
        if line.startswith(f"{key} ") or said:
            said.append(line.strip().removeprefix(key).strip())
        elif f" {key}: " in line:
            return line.split(f" {key}: ", 1)[1].strip()
    return " ".join(said)


def shortened(numbers: Iterable[str]) -> str:
    """Check numbers in order, each once: `C001, C003 to C005` for those that follow each other in the file."""
    order = {row["id"]: place for place, row in enumerate((*_rows("checks.csv"), *_rows("practice.csv")))}
    runs: list[list[str]] = []
    for one in sorted(set(numbers), key=order.__getitem__):
        if runs and order[one] == order[runs[-1][-1]] + 1 and one[0] == runs[-1][-1][0]:
            runs[-1].append(one)
        else:
            runs.append([one])
    return ", ".join(run[0] if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in runs)


def _rows(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def _counted(states: Counter[str]) -> str:
    return ", ".join(f"{count} {state}" for state, count in sorted(states.items()))


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


if __name__ == "__main__":
    PAGE.write_text(document(), encoding="utf-8")
    print(f"{PAGE} is written")
