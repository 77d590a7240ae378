"""The process that a filler metal's classification belongs to; AWS A5.1 to A5.30, from memory."""

import pytest

from rules.fillers import processes_of
from rules.tables import table

BARE = {"GTAW", "GMAW", "PAW", "SAW"}


@pytest.mark.parametrize(
    ("classification", "processes"),
    [
        ("ER70S-2", BARE), ("er 70s-6", BARE), ("ER80S-B2", BARE), ("ER308L", BARE), ("ERNiCr-3", BARE),
        ("E6010", {"SMAW"}), ("E7018", {"SMAW"}), ("E7018-1 H4R", {"SMAW"}), ("E8018-B2", {"SMAW"}),
        ("E308L-16", {"SMAW"}), ("ENiCrFe-3", {"SMAW"}),
        ("E71T-1C", {"FCAW"}), ("E308LT1-1", {"FCAW"}), ("E81T1-B2", {"FCAW"}),
        ("E70C-6M", {"GMAW"}), ("EC308L", {"GMAW"}),
        ("F7A2-EM12K", {"SAW"}), ("EM12K", {"SAW"}), ("EL12", {"SAW"}), ("IN308L", {"GTAW"}),
        ("", set()), ("SG2", set()), ("L-7021", set()),
    ],
)  # fmt: skip
def test_a_classification_says_its_process(classification: str, processes: set[str]) -> None:
    assert processes_of(classification) == processes


def test_every_filler_of_the_table_has_a_process() -> None:
    assert all(processes_of(row["classification"]) for row in table("fillers").rows)
