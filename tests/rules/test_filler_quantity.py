"""Quantities of filler, read and shown."""

from decimal import Decimal

import pytest

from rules.filler_quantity import parse_filler, show_filler
from rules.units import UnitError

D = Decimal


# 1 lb = 0.45359237 kg exactly (international yard and pound agreement, 1959).
@pytest.mark.parametrize(
    ("text", "units", "amount", "unit"),
    [
        ("5 lb", "US", D("2.2680"), "kg"),
        ("5", "US", D("2.2680"), "kg"),
        ("5", "SI", D(5), "kg"),
        ("2.5 kg", "US", D("2.5"), "kg"),
        ("500 g", "SI", D("0.5"), "kg"),
        ("20 pieces", "US", D(20), "pieces"),
        ("20 rods", "SI", D(20), "pieces"),
    ],
)
def test_reads_weights_and_counts(text: str, units: str, amount: Decimal, unit: str) -> None:
    assert parse_filler(text, units) == (amount, unit)


@pytest.mark.parametrize("text", ["", "0", "-1 kg", "2.5 rods", "3 gallons", "kg", "1e9 kg", "9" * 30])
def test_refuses_the_rest_and_says_what_is_accepted(text: str) -> None:
    with pytest.raises(UnitError, match="accepted are weights and counts such as 5 lb"):
        parse_filler(text, "US")


def test_shows_in_the_units_of_the_job() -> None:
    assert show_filler(D("2.2680"), "kg", "US") == "5 lb"
    assert show_filler(D("2.5000"), "kg", "SI") == "2.5 kg"
    assert show_filler(D(1), "pieces", "US") == "1 piece"
