"""What `coverage.csv` says of the published checks: which calculator or finding answers each topic."""

import csv
from collections import defaultdict
from pathlib import Path

import pytest

from tests.published import test_checks, test_practice
from tests.published.rows import ASKED

COVERED: dict[str, set[str]] = defaultdict(set)
for row in csv.DictReader(Path(__file__).with_name("coverage.csv").open(encoding="utf-8")):
    COVERED[row["topic"]].add(row["rule"])


def test_every_topic_is_covered_and_no_other() -> None:
    assert set(COVERED) == set(test_checks.CHECKS) | set(test_practice.CHECKS)


@pytest.mark.parametrize("topic", COVERED)
def test_a_topic_asks_what_the_coverage_says(topic: str) -> None:
    ASKED.clear()
    if topic in test_practice.CHECKS:
        test_practice.CHECKS[topic]()
    for check in (one for one in test_checks.ROWS if one["topic"] == topic):
        test_checks.CHECKS[topic](check)
    assert set(ASKED) == COVERED[topic]
