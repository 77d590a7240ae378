"""Which tables a joint rests on, and what a job says that releases only by confirmed ones."""

from dataclasses import replace
from datetime import date

import pytest

from rules.basis import tables_of
from rules.confirmation import edition_asked, is_of_edition, unconfirmed
from rules.judge import findings, requirements
from rules.tables import row_keys, table, table_names
from tests.rules.cast import JOB, accepted, butt, fit_up, heat, people, planned, released, repair

DEMANDING = replace(JOB, confirmed=frozenset())


@pytest.mark.parametrize("name", table_names())
def test_each_row_of_a_table_has_a_key_of_its_own(name: str) -> None:
    keys = row_keys(name)
    assert len(set(keys)) == len(keys) == len(table(name).rows)
    assert all(keys) and max(map(len, keys)) <= 120


def test_a_key_is_as_short_as_tells_rows_apart() -> None:
    # NPS and class name a fitting; NPS 1 is DN 25, and its Schedule 80 row is told from Schedule 40 by the third column.
    assert "1, 3000" in row_keys("socket_fittings")
    assert "1, 25, 80" in row_keys("pipe")


def test_a_socket_rests_on_its_pipe_its_fitting_and_the_acceptance_of_its_weld() -> None:
    found = set(tables_of(planned(heat_a=None, heat_b=None), JOB))
    assert ("pipe", "1, 25, 80") in found
    assert ("socket_fittings", "1, 3000") in found
    assert ("acceptance_b31_3", "N, fillet") in found
    assert not any(name.startswith(("positions", "certificates")) for name, _ in found)


def test_passes_bring_the_welders_tables_and_heats_those_of_certificates() -> None:
    found = set(tables_of(released(), JOB))
    assert {("positions_qw461_9", ""), ("f_numbers_qw433", ""), ("certificates", "")} <= found
    assert {("materials", "A106 Gr B"), ("materials", "A105"), ("fillers", "ER70S-6")} <= found


def test_a_heat_fitted_since_a_cut_out_brings_the_table_of_certificates_and_the_planned_one_does_not() -> None:
    bare, limited = heat("H1", "S275"), heat("H7", "A105")
    cut = {"repairs": (repair("cut-out", scrapped=frozenset("AB")),), "heat_a": bare, "heat_b": bare}
    again = fit_up(id="f2", attempt="W1", done_on=date(2026, 3, 9), heat_a_read="H7", heat_a=limited)
    rows = {("certificates", "")}
    assert not rows & set(tables_of(planned(heat_a=bare, heat_b=bare), JOB))
    assert rows <= set(tables_of(planned(fit_ups=(fit_up(), again), **cut), JOB))
    planned_so = cut | {"heat_a": limited, "heat_b": limited}
    assert not rows & set(
        tables_of(planned(fit_ups=(replace(again, heat_a_read="H9", heat_a=None),), **planned_so), JOB)
    )


def test_a_butt_weld_rests_on_no_fitting() -> None:
    assert not any(name == "socket_fittings" for name, _ in tables_of(butt(), JOB))


def test_the_source_of_a_limit_knows_its_tables_and_the_procedures_has_none() -> None:
    by_id = {one.id: one for one in requirements(planned(), JOB)}
    assert ("acceptance_b31_3", "N, fillet") in by_id["undercut"].source.tables
    assert by_id["gap"].source.tables == ()


def test_a_row_is_confirmed_by_itself_or_with_its_table() -> None:
    rows = (("pipe", "1, 25, 80"), ("fillers", "ER70S-6"))
    assert unconfirmed(rows, frozenset({("pipe", "")})) == rows[1:]
    assert unconfirmed(rows, frozenset({("pipe", "1, 25, 80"), ("fillers", "")})) == ()
    # A table needed whole is not confirmed by one of its rows.
    assert unconfirmed((("certificates", ""),), frozenset({("certificates", "A105, C")})) == (("certificates", ""),)


def test_a_release_without_confirmed_tables_is_found_only_where_the_job_demands_them() -> None:
    assert findings(released(), JOB, people()) == []
    [one] = findings(released(), DEMANDING, people())
    assert (one.code, one.severity) == ("table-unconfirmed", "correct")
    assert "pipe, row 1, 25, 80" in one.message
    every = replace(JOB, confirmed=frozenset((name, "") for name in table_names()))
    assert findings(released(), every, people()) == []
    assert [one.code for one in findings(accepted(), DEMANDING, people())] == ["release-missing"]


@pytest.mark.parametrize(
    ("name", "asked"),
    [
        ("acceptance_b31_3", "2018"), ("gap_before_welding", "2018"), ("leak_test_b31_1", ""),
        ("f_numbers_qw433", "2010"), ("pipe", ""), ("certificates", ""), ("rounded_indications_viii_4", "2018"),
    ],
)  # fmt: skip
def test_a_job_names_the_edition_of_its_codes_tables_and_of_section_ix(name: str, asked: str) -> None:
    assert edition_asked(name, "ASME B31.3", "2018", "2010") == asked
    assert edition_asked(name, "", "2018", "") == ""


@pytest.mark.parametrize(
    ("read", "asked", "same"),
    [
        ("2018", "2018", True), ("ASME B31.3-2018", "2018", True), ("B31.3 (2016)", "2018", False),
        ("the newest", "2018", False), ("anything", "", True), ("2007 with addenda", "older", True),
        ("2010", "older", False), ("2010", "2010", True), ("2010", "current", False), ("2021", "current", True),
        ("Section IX, 2019", "2010", False), ("Current copy", "current", True),
    ],
)  # fmt: skip
def test_an_edition_as_it_was_read_is_held_against_the_jobs(read: str, asked: str, same: bool) -> None:
    assert is_of_edition(read, asked) is same
