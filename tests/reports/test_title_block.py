"""The title block holds long words without losing the ones that count."""

from dataclasses import replace

from reports.data import WeldLogData
from reports.weld_log import weld_log_pdf
from tests.reports.papers import TITLE, log_rows, texts

EDITIONS = "ASME B31.3, 2018; ASME BPVC IX, 2021; ASME B16.11, 2016; owner specification 12-PI-004 rev. C"
LONG = "An extraordinarily long name of a thing that nobody ever shortened"


def test_several_editions_stand_in_full_in_two_lines() -> None:
    (text,) = texts(weld_log_pdf(WeldLogData(replace(TITLE, edition=EDITIONS), ())))
    assert EDITIONS in text


def test_a_long_title_leaves_number_and_revision_on_further_sheets() -> None:
    title = replace(TITLE, title=LONG * 3, job=LONG * 3, supplement=LONG * 3)
    second = texts(weld_log_pdf(WeldLogData(title, log_rows(60))))[1]
    assert "CW-7-WL-01" in second and "Rev. B" in second and "ASME B31.3, 2018" in second and "2026-11-24" in second


def test_a_right_to_left_name_is_printed_as_made_by() -> None:
    (text,) = texts(weld_log_pdf(WeldLogData(replace(TITLE, creator="יוסף כהן"), ())))
    assert "יוסף" in text or "ףסוי" in text  # readers give it back in either order
