"""Which tests reach which lines of the rules, and how long each takes: the suite run once under coverage."""

import gc
import json
import time
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import coverage
import pytest

AT_IMPORT = ""


@dataclass(slots=True)
class Reach:
    """Tests by file and line (the empty name: while importing), and each test's seconds."""

    tests: dict[str, dict[int, set[str]]]
    seconds: dict[str, float]

    def of(self, path: str, lines: tuple[int, int]) -> set[str]:
        by_line = self.tests.get(path, {})
        return set().union(*(by_line.get(line, set()) for line in range(lines[0], lines[1] + 1)))

    def of_file(self, path: str) -> set[str]:
        return set().union(*self.tests.get(path, {}).values()) - {AT_IMPORT}

    def save(self, file: Path) -> None:
        tests = {path: {line: sorted(names) for line, names in lines.items()} for path, lines in self.tests.items()}
        file.write_text(json.dumps({"tests": tests, "seconds": self.seconds}))

    @classmethod
    def load(cls, file: Path) -> "Reach":
        told = json.loads(file.read_text())
        tests = {p: {int(line): set(names) for line, names in lines.items()} for p, lines in told["tests"].items()}
        return cls(tests, told["seconds"])


class Watching:
    """A pytest plugin: names the running test to coverage, and empties the rules' memories before it."""

    def __init__(self, root: Path) -> None:
        self.root, self.seconds, self.memories = root, dict[str, float](), list[Callable[[], None]]()
        self.cover = coverage.Coverage(
            data_file=None, include=[str(root / "rules/*")], config_file=False, messages=False
        )
        self.cover.start()

    def pytest_collection_finish(self) -> None:
        self.memories = _memories()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Any:
        for empty in self.memories:
            empty()
        self.cover.switch_context(item.nodeid)
        began = time.process_time()
        answer = yield
        self.seconds[item.nodeid] = time.process_time() - began
        self.cover.switch_context(AT_IMPORT)
        return answer

    def reach(self) -> Reach:
        """What was seen, by path from the root."""
        self.cover.stop()
        data = self.cover.get_data()
        tests: dict[str, dict[int, set[str]]] = defaultdict(dict)
        for file in data.measured_files():
            for line, names in data.contexts_by_lineno(file).items():
                tests[str(Path(file).relative_to(self.root))][line] = set(names)
        return Reach(tests, self.seconds)


def _memories() -> list[Callable[[], None]]:
    """How to empty each memory of the rules: a test that found an answer there would not reach what worked it out."""
    empty = []
    for one in gc.get_objects():
        kind = type(one).__name__
        if kind == "_lru_cache_wrapper" and one.__module__.startswith("rules."):
            empty.append(one.cache_clear)
        elif kind == "Remembered":
            empty.append(one._owners.clear)
    return empty
