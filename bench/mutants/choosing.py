"""Which mutants are tried, and which tests each of them has to pass."""

import ast
import random
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from bench.mutants.made import Mutant
from bench.mutants.reach import AT_IMPORT, Reach
from bench.mutants.trial import SUITES


def files(root: Path) -> list[str]:
    return sorted(str(one.relative_to(root)) for one in (root / "rules").rglob("*.py"))


def drawn(every: dict[str, list[Mutant]], size: int | None, draw: int) -> list[Mutant]:
    """A sample in which each file has its share by the number of its mutants; every mutant where no size is given."""
    whole = [one for listed in every.values() for one in listed]
    if size is None or size >= len(whole):
        return whole
    chance = random.Random(draw)
    # Each file's mutants are shuffled and then all are taken at equal steps: shares differ by one at most.
    spread = [one for listed in every.values() for one in chance.sample(listed, len(listed))]
    step = len(spread) / size
    begin = chance.random() * step
    return [spread[int(begin + step * place)] for place in range(size)]


def tests_for(root: Path, one: Mutant, reach: Reach) -> set[str]:
    """The tests that reach its statement; of one run on import, those that reach its file or an importer of it."""
    names = reach.of(one.path, one.lines)
    if AT_IMPORT not in names:
        return names
    near = {one.path, *importers(root)[one.path]}
    beside = {name for name in reach.seconds if name.partition("::")[0] in near}
    return (names - {AT_IMPORT}).union(beside, *(reach.of_file(path) for path in near))


@cache
def importers(root: Path) -> dict[str, set[str]]:
    """For each file of the rules, the files of the rules and of their tests that import from it."""
    found: dict[str, set[str]] = defaultdict(set)
    for file in [*(root / "rules").rglob("*.py"), *(one for suite in SUITES for one in (root / suite).rglob("*.py"))]:
        for name in _imported(ast.parse(file.read_text())):
            path = name.replace(".", "/")
            found[f"{path}.py"].add(str(file.relative_to(root)))
    return found


def _imported(tree: ast.AST) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
            yield from (f"{node.module}.{one.name}" for one in node.names)
        elif isinstance(node, ast.Import):
            yield from (one.name for one in node.names)
