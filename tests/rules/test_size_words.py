"""How sizes are written: NPS in a US job, DN in an SI job, by ASME B36.10M; and how a DN is typed and refused."""

import pytest

from rules.nps import diameter_inches
from rules.pipe import UnknownSize, parse_nps, pipe
from rules.route.parse import parse_route
from rules.size_words import dn_of, rating_words, show_pipe_size, show_size, size_figure, typed_size
from rules.socket_fittings import fitting
from rules.units import SI, US

# ASME B36.10M, NPS and DN, from the standard's own table: the same pairs stand in ISO 6708 and in every pipe chart.
PAIRS = {
    "1/8": 6, "1/4": 8, "3/8": 10, "1/2": 15, "3/4": 20, "1": 25, "1-1/4": 32, "1-1/2": 40, "2": 50, "2-1/2": 65,
    "3": 80, "3-1/2": 90, "4": 100, "5": 125, "6": 150, "8": 200, "10": 250, "12": 300, "14": 350, "16": 400,
    "18": 450, "20": 500, "22": 550, "24": 600,
}  # fmt: skip


@pytest.mark.parametrize(("nps", "dn"), PAIRS.items())
def test_a_size_is_named_by_the_system_of_the_job_and_reads_back(nps: str, dn: int) -> None:
    assert show_size(nps, US) == f"NPS {nps}"
    assert show_size(nps, SI) == f"DN {dn}"
    assert dn_of(nps) == dn
    for written in (show_size(nps, SI), f"DN{dn}", f"dn {dn}", f"{dn} DN", typed_size(nps, SI), typed_size(nps, US)):
        assert parse_nps(written, SI) == parse_nps(written, US) == nps


def test_a_fitting_of_two_sizes_names_its_system_once() -> None:
    """ASME B16.9 tables: a tee is straight, of one size, or reducing, of two; common practice names the run first."""
    assert show_size("3", SI, "3/4") == "DN 80 x 20"
    assert show_size("3", US, "3/4") == "NPS 3 x 3/4"
    assert show_size("1-1/2", SI, "1-1/2") == "DN 40"
    assert show_size("2", SI) == "DN 50"


def test_a_size_without_a_dn_here_stays_an_nps_and_is_never_mixed() -> None:
    # NPS 26 is a size of ASME B36.10M that the table here has not.
    assert show_size("26", SI) == "NPS 26"
    assert show_size("26", SI, "24") == "NPS 26 x 24"
    assert show_size("", SI) == show_size("", US) == ""


def test_under_a_heading_a_size_stands_without_its_system_but_where_it_is_of_another() -> None:
    assert size_figure("2", US) == "2"
    assert size_figure("2", SI) == "50"
    assert size_figure("3", SI, "3/4") == "80 x 20"
    assert size_figure("26", SI) == "NPS 26"


def test_a_schedule_or_class_follows_the_size_as_the_trade_says_it() -> None:
    # Common practice, no source: "Sch" before a number, nothing before STD, XS and XXS.
    assert show_pipe_size("2", "80", SI) == "DN 50 Sch 80"
    assert show_pipe_size("2", "XXS", US) == "NPS 2 XXS"
    assert show_pipe_size("2", "Class 3000", SI, "1") == "DN 50 x 25 Class 3000"
    assert show_pipe_size("2", "", SI) == "DN 50"
    assert show_pipe_size("1", rating_words("", "3000"), SI, "3/4") == "DN 25 x 20 Class 3000"
    assert show_pipe_size("1", rating_words("80", "3000"), US) == "NPS 1 Sch 80"


def test_a_size_without_letters_is_an_nps_in_an_si_job_too() -> None:
    assert parse_nps("6", SI) == "6"  # and not DN 6, which is NPS 1/8
    assert parse_nps("DN 6", SI) == "1/8"


def test_an_si_job_is_told_the_accepted_sizes_as_dn_nearest_first() -> None:
    with pytest.raises(UnknownSize, match='There is no pipe size "50"; accepted are DN 50, DN 40, DN 65'):
        parse_nps("50", SI)
    with pytest.raises(UnknownSize, match='There is no pipe size "DN 55"; accepted are DN 50, DN 65') as refusal:
        parse_nps("DN 55", US)
    assert refusal.value.accepted[0] == "DN 50"
    with pytest.raises(UnknownSize, match='DN 25 has no schedule "45"'):
        pipe("1", "45", SI)
    with pytest.raises(UnknownSize, match='No socket-welding fitting DN 25 of class "4500"'):
        fitting("1", "4500", SI)


def test_diameter_inches_say_which_nps_they_count_where_sizes_are_dn() -> None:
    # 12 x 1-1/2 = 18.
    assert diameter_inches([("DN 40", 12)], SI).steps[0] == "12 x DN 40 (NPS 1-1/2) = 18"
    assert diameter_inches([("DN 40", 12)], US).steps[0] == "12 x NPS 1-1/2 = 18"
    assert diameter_inches([("36", 1)], SI).steps[0] == "1 x NPS 36 = 36"


@pytest.mark.parametrize(
    ("line", "nps"),
    [
        ("size DN 50 sch 80", "2"),
        ("tee DN 20 outlet 57 weight 2 kg", "3/4"),
        ("olet DN25 sch 80 height 40", "1"),
        ("half coupling dn 15", "1/2"),
        ("stub DN 80 sch 40 pad 50", "3"),
        ("reducer eccentric flat down to DN 40 length 89", "1-1/2"),
    ],
)
def test_every_size_of_a_route_may_be_a_dn(line: str, nps: str) -> None:
    for units in (SI, US):
        (step,), faults = parse_route(line, units)
        assert (step.nps, faults) == (nps, ())
