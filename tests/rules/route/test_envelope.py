"""The transport envelope as it is typed."""

from decimal import Decimal as D

import pytest

from rules.route.envelope import parse_envelope
from rules.units import UnitError


@pytest.mark.parametrize(
    ("text", "units", "sides"),
    [
        ("12 m x 2.4 m x 2.4 m", "US", (12000, 2400, 2400)),
        ("12000x2400x2.5m", "SI", (12000, 2400, 2500)),
        ("40' x 8' x 8' 6\"", "US", (12192, D("2438.4"), D("2590.8"))),
        ("12 m by 2 m by 3 m", "SI", (12000, 2000, 3000)),
    ],
)
def test_three_lengths(text, units, sides):
    assert parse_envelope(text, units) == tuple(map(D, sides))


@pytest.mark.parametrize("text", ["12 m x 2 m", "a lorry", "1 x 2 x 3 x 4", "0 x 2 m x 2 m"])
def test_refuses_anything_else(text):
    with pytest.raises(UnitError):
        parse_envelope(text, "SI")
