"""Every table says where its figures come from, and only that."""

import re

import pytest

from rules.materials import find_material
from rules.source import STATES
from rules.tables import FOLDER, called, column_called, state_called, table, table_names


@pytest.mark.parametrize("name", table_names())
def test_a_table_has_source_edition_units_and_state(name: str) -> None:
    one = table(name)
    assert one.title.endswith(".")
    assert one.source and one.edition and one.units and one.state
    assert one.rows
    for row in one.rows:
        assert None not in row and None not in row.values(), row
        assert row["state"] in STATES


@pytest.mark.parametrize("name", table_names())
def test_a_table_cites_standards_and_no_copies_of_them(name: str) -> None:
    text = (FOLDER / f"{name}.csv").read_text(encoding="utf-8")
    assert not re.search(r"https?:|www\.|\.com|\.net|\.org|\.in\b", text)


def test_an_unknown_table_names_the_known_ones() -> None:
    with pytest.raises(KeyError, match="pipe"):
        table("horoscope")


def test_every_material_with_limits_has_a_p_number() -> None:
    named = {row["material"] for row in table("certificates").rows}
    fillers = {row["classification"] for row in table("fillers").rows}
    assert all(find_material(name) for name in named - fillers)


def test_socket_walls_follow_their_paired_pipe() -> None:
    # ASME B16.11: the least socket wall is 1.09 x the wall of the paired pipe, not under 3.18 mm.
    walls = {(row["nps"], row["schedule"]): float(row["wall_mm"]) for row in table("pipe").rows}
    for row in table("socket_fittings").rows:
        paired = walls.get((row["nps"], row["paired_schedule"]))
        if paired:
            assert float(row["wall_min_mm"]) == pytest.approx(max(1.09 * paired, 3.18), abs=0.06)


@pytest.mark.parametrize("name", table_names())
def test_a_table_is_told_to_its_reader_in_plain_words(name: str) -> None:
    one = table(name)
    for told in (one.title, one.source, one.edition, one.units, one.state, *map(column_called, one.rows[0])):
        assert not re.search(r"_|`|\.csv", told), told
    assert len({column_called(column) for column in one.rows[0]}) == len(one.rows[0])


@pytest.mark.parametrize(
    ("column", "told"),
    [
        ("later_length_mm", "later length (mm)"),
        ("preheat_f", "preheat (°F)"),
        ("p_numbers", "P-Numbers"),
        ("od_in", "OD (in)"),
        ("state_us", "state (US)"),
        ("greatest_us", "greatest (ksi)"),
        ("tensile_to_mpa", "tensile to (MPa)"),
    ],
)
def test_a_column_is_told_with_its_unit(column: str, told: str) -> None:
    assert column_called(column) == told


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("leak_test_b31_1", "leak tests B31.1"),
        ("rounded_indications_viii_4", "rounded indications Section VIII Appendix 4"),
        ("f_numbers_qw433", "F-Numbers QW-433"),
        ("diameters_qw452_3", "diameters QW-452.3"),
    ],
)
def test_a_table_is_told_by_its_standard(name: str, told: str) -> None:
    assert called(name) == told


def test_no_table_is_told_with_a_standard_s_number_run_together() -> None:
    assert [name for name in table_names() if re.search(r"_|b31|viii|[apf] numbers", called(name))] == []


def test_says_how_far_a_table_was_checked_in_words() -> None:
    assert [state_called(one) for one in ("checked", "memory", "per row; the later lengths from memory")] == [
        "checked", "from memory", "row by row; the later lengths from memory",
    ]  # fmt: skip
