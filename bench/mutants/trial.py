"""One mutant on trial: a child process imports the changed module in place of the sound one and runs its tests."""

import gc
import importlib.util
import os
import resource
import sys
from collections import Counter
from collections.abc import Callable
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec, SourceFileLoader
from pathlib import Path
from types import CodeType
from typing import Any

import pytest
from hypothesis import settings, strategies  # noqa: F401 - once here, not in each child

SUITES = ("tests/rules", "tests/published")
# No Django, no database, no site: what conftest files above the rules' tests set up is left out. pytest would load
# rules/leak_test.py itself, for its name, were it not told how tests are called.
ARGUMENTS = (
    "-c", os.devnull, "--rootdir=.", "--confcutdir=tests/rules", "-p", "_hypothesis_pytestplugin",
    "-p", "no:cacheprovider", "-o", "python_files=test_*.py", "--import-mode=importlib",
    "-m", "not soak", "-q", "-x", "--tb=line", "--hypothesis-seed=0", "-W", "ignore",
)  # fmt: skip
KILLED, SURVIVED, TIMED_OUT, UNTRIED = "killed", "survived", "timed out", "not reached"
MOST_BYTES = 4 << 30


class Changed(MetaPathFinder):
    """Gives the changed code to whoever imports this one module."""

    def __init__(self, module: str, file: Path, code: CodeType) -> None:
        self.module, self.file, self.code = module, file, code

    def find_spec(self, name: str, path: object = None, target: object = None) -> ModuleSpec | None:
        if name != self.module:
            return None
        return importlib.util.spec_from_file_location(name, self.file, loader=_Loader(name, str(self.file), self.code))


class _Loader(SourceFileLoader):
    def __init__(self, name: str, file: str, code: CodeType) -> None:
        super().__init__(name, file)
        self.changed = code

    def get_code(self, fullname: str) -> CodeType:
        return self.changed


class Only:
    """A pytest plugin: keeps the chosen tests, quick ones first; property tests look for no least case."""

    def __init__(self, seconds: dict[str, float] | None) -> None:
        self.seconds = seconds

    def pytest_configure(self) -> None:
        phases = [one for one in settings().phases if one.name in ("explicit", "generate")]
        settings.register_profile("trial", settings(deadline=None), database=None, phases=phases)
        settings.load_profile("trial")

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        if self.seconds is not None:
            seconds = self.seconds
            items[:] = sorted((one for one in items if one.nodeid in seconds), key=lambda one: seconds[one.nodeid])


def in_child(work: Callable[[], int], cpu_seconds: int) -> int | None:
    """The exit code of work() in a silent forked child; None where a signal ended it, as after too much time."""
    child = os.fork()
    if child == 0:
        _quiet_and_bounded(cpu_seconds)
        code = 1
        gc.disable()
        os.environ["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"
        try:
            code = work()
        finally:
            os._exit(code)
    status = os.waitpid(child, 0)[1]
    return os.WEXITSTATUS(status) if os.WIFEXITED(status) else None


def _quiet_and_bounded(cpu_seconds: int) -> None:
    nowhere = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(nowhere, stream)
    resource.setrlimit(resource.RLIMIT_CPU, (cpu_seconds, cpu_seconds + 1))
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))


def file_of(test: str) -> str:
    return test.partition("::")[0]


def run_tests(seconds: dict[str, float] | None = None, plugins: tuple[Any, ...] = ()) -> int:
    """Run the named tests, or all with None, in this process, and answer pytest's exit code."""
    files = SUITES if seconds is None else sorted({file_of(name) for name in seconds})
    return int(pytest.main([*ARGUMENTS, *files], plugins=[Only(seconds), *plugins]))


def verdict(root: Path, path: str, code: CodeType, seconds: dict[str, float]) -> str:
    """Whether any of these tests (their seconds beside them) fails when the file at path holds this code."""
    if not seconds:
        return UNTRIED
    module = path.removesuffix(".py").removesuffix("/__init__").replace("/", ".")

    def trial() -> int:
        sys.meta_path.insert(0, Changed(module, root / path, code))
        first = _most_telling(path, seconds)
        rest = {name: seconds[name] for name in seconds if name not in first}
        return run_tests(first) or (run_tests(rest) if rest else 0)

    answer = in_child(trial, 20 + round(5 * sum(seconds.values())))
    if answer == pytest.ExitCode.NO_TESTS_COLLECTED or answer == pytest.ExitCode.USAGE_ERROR:
        raise RuntimeError(f"No test was run against {path}: {sorted(seconds)[:3]}")
    return {0: SURVIVED, None: TIMED_OUT}.get(answer, KILLED)


def _most_telling(path: str, seconds: dict[str, float]) -> dict[str, float]:
    """The tests of the file named as the code is, or else of the file with most of them: they likely notice it."""
    own = f"/test_{Path(path).stem}.py"
    counted = Counter(file_of(name) for name in seconds)
    chosen = max(counted, key=lambda file: (file.endswith(own), counted[file]))
    return {name: spent for name, spent in seconds.items() if file_of(name) == chosen}
