"""What a run found, for the terminal and for docs/mutation.md."""

import csv
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import sqrt
from pathlib import Path

from bench.mutants.made import Mutant
from bench.mutants.trial import KILLED, TIMED_OUT

NOTES = Path(__file__).with_name("survivors.csv")
Z95 = 1.959964
NOTICED = (KILLED, TIMED_OUT)
WORDING = "wording"
NO_NOTE = "not looked at yet"


@dataclass(frozen=True, slots=True)
class Told:
    """A run: every mutant there is by file, those tried with what came of them, and what was asked for."""

    every: dict[str, list[Mutant]]
    tried: list[tuple[Mutant, str]]
    sample: int | None
    draw: int

    def share(self) -> float:
        """The share noticed of those tried, the wording of sentences left out."""
        killed, tried = _count(self._without_wording())
        return killed / tried if tried else 1.0

    def summary(self) -> str:
        return f"Noticed: {_told(self._without_wording())}; with the wording of sentences: {_told(self.tried)}."

    def page(self) -> str:
        """docs/mutation.md."""
        there = sum(map(len, self.every.values()))
        asked = f"SAMPLE={self.sample} DRAW={self.draw}" if self.sample else ""
        return "\n".join([
            "# Mutants of the rules", "",
            f"Made by `make mutants {asked}`".rstrip() + f". {len(self.tried)} of {there} mutants were tried.", "",
            "A mutant is the rules with one small change: a sign, a limit, a condition, a value. A test of the rules",
            "(`tests/rules`, `tests/published`) that fails notices it. Each mutant is held against the tests that",
            "reach its statement. Tests of the pages, which notice more, are not counted.", "",
            "| counted | noticed | tried | share | 95 % interval (Wilson) |", "|---|---:|---:|---:|---|",
            _row("without the wording of sentences", self._without_wording()),
            _row("with it", self.tried),
            _row("without wording and what no test can notice", self._noticeable()), "",
            f"{sum(outcome == TIMED_OUT for _, outcome in self.tried)} of the noticed ran without end. "
            "Wording is text with a space in it, or within a sentence that is put together.", "",
            "## By kind of change", "", *self._table("kind", lambda one: one.kind), "",
            "## By file", "", *self._table("file", lambda one: one.path), "",
            "## What was not noticed", "", *self._survivors(), "",
        ])  # fmt: skip

    def _without_wording(self) -> list[tuple[Mutant, str]]:
        return [(one, outcome) for one, outcome in self.tried if one.kind != WORDING]

    def _noticeable(self) -> list[tuple[Mutant, str]]:
        known = notes()
        return [(one, out) for one, out in self._without_wording() if out in NOTICED or _key(one) not in known]

    def _table(self, name: str, by: Callable[[Mutant], str]) -> list[str]:
        tried = Counter(by(one) for one, _ in self.tried)
        noticed = Counter(by(one) for one, outcome in self.tried if outcome in NOTICED)
        rows = [f"| {_code(name, key)} | {noticed[key]} | {tried[key]} |" for key in sorted(tried)]
        return [f"| {name} | noticed | tried |", "|---|---:|---:|", *rows]

    def _survivors(self) -> list[str]:
        known = notes()
        left = [(one, out) for one, out in self._without_wording() if out not in NOTICED]
        wording = sum(one.kind == WORDING and out not in NOTICED for one, out in self.tried)
        rows = [
            f"| `{one.path}:{one.line}` | {_cell(one.before)} | {_cell(one.after)} | {known.get(_key(one), NO_NOTE)} |"
            for one, _ in left
        ]
        last = f"Besides, {wording} changes in the wording of sentences, which few tests hold word for word."
        return ["| place | code | changed to | why |", "|---|---|---|---|", *rows, "", last]


def notes() -> dict[tuple[str, str, str], str]:
    """Why a mutant that was looked at cannot be noticed: by path, code and changed code."""
    with NOTES.open(newline="") as lines:
        return {(row["path"], row["before"], row["after"]): row["why"] for row in csv.DictReader(lines)}


def wilson(successes: int, tried: int) -> tuple[float, float]:
    """The 95 % interval of a share, after Wilson (1927), without correction for continuity."""
    if not tried:
        return 0.0, 1.0
    share, square = successes / tried, Z95 * Z95
    middle = share + square / (2 * tried)
    half = Z95 * sqrt(share * (1 - share) / tried + square / (4 * tried * tried))
    return (middle - half) / (1 + square / tried), (middle + half) / (1 + square / tried)


def _count(tried: Iterable[tuple[Mutant, str]]) -> tuple[int, int]:
    outcomes = [outcome for _, outcome in tried]
    return sum(one in NOTICED for one in outcomes), len(outcomes)


def _told(tried: list[tuple[Mutant, str]]) -> str:
    noticed, count = _count(tried)
    low, high = wilson(noticed, count)
    return f"{noticed} of {count}, {noticed / max(count, 1):.1%} (95 %: {low:.1%} to {high:.1%})"


def _row(name: str, tried: list[tuple[Mutant, str]]) -> str:
    noticed, count = _count(tried)
    low, high = wilson(noticed, count)
    return f"| {name} | {noticed} | {count} | {noticed / max(count, 1):.1%} | {low:.1%} to {high:.1%} |"


def _key(one: Mutant) -> tuple[str, str, str]:
    return one.path, one.before, one.after


def _code(name: str, key: str) -> str:
    return f"`{key}`" if name == "file" else key


def _cell(text: str) -> str:
    return f"`{text}`".replace("|", "\\|")
