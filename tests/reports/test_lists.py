"""The lists on paper: what they say, on every sheet, for many rows and for none."""

import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from reports.data import (
    ExaminationsData,
    FindingRow,
    FindingsData,
    HeatListData,
    MissingData,
    WelderRegisterData,
    WeldLogData,
)
from reports.examinations import examinations_pdf
from reports.findings import findings_pdf
from reports.heats import heats_pdf
from reports.missing import missing_pdf
from reports.page import CAUTION
from reports.weld_log import weld_log_pdf
from reports.welders import welders_pdf
from tests.reports.papers import (
    EXAMINATIONS,
    FILLERS,
    FINDINGS,
    HEATS,
    MISSING,
    TITLE,
    WELDERS,
    fonts_without_file,
    log_rows,
    texts,
    titled,
)

ROOT = Path(__file__).resolve().parents[2]
PAPERS: dict[str, Callable[[bool], bytes]] = {
    "weld log": lambda full: weld_log_pdf(WeldLogData(TITLE, log_rows(3 * full))),
    "findings": lambda full: findings_pdf(FindingsData(titled("Findings"), FINDINGS * full)),
    "examinations": lambda full: examinations_pdf(ExaminationsData(titled("Radiography"), EXAMINATIONS * full)),
    "welders": lambda full: welders_pdf(WelderRegisterData(titled("Welder register"), WELDERS * full)),
    "heats": lambda full: heats_pdf(HeatListData(titled("Heat list"), HEATS * full, FILLERS * full)),
    "missing": lambda full: missing_pdf(MissingData(titled("What is missing"), MISSING * full)),
}


@pytest.mark.parametrize("name", PAPERS)
@pytest.mark.parametrize("full", [True, False])
def test_every_paper_has_its_title_block_page_edition_caution_and_fonts(name: str, full: bool) -> None:
    pdf = PAPERS[name](full)
    (text,) = texts(pdf)
    for field in ("Brackwater Piping Works", "CW-7 Cooling water extension", "CW-7-WL-01", "A. Lindqvist", "M. Okafor"):
        assert field in text
    for field in ("2026-11-24", "Line 1-CF-1101", "ASME B31.3, 2018", "1 of 1", CAUTION):
        assert field in text
    assert fonts_without_file(pdf) == []


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("weld log", "No joint in this scope."),
        ("findings", "No open finding in this scope."),
        ("examinations", "No examination recorded in this scope."),
        ("welders", "No welder in this scope."),
        ("heats", "No heat in this scope."),
        ("missing", "Nothing that this job asks for is missing in this scope."),
    ],
)
def test_an_empty_list_says_so_in_words(name: str, words: str) -> None:
    assert words in texts(PAPERS[name](False))[0]


def test_a_finding_prints_its_arithmetic_source_state_and_override() -> None:
    (text,) = texts(PAPERS["findings"](True))
    for words in ("leg too small", "5/32 in", "7/32 in", "1.09 × 0.179", "ASME B31.3-2018, Fig. 328.5.2C", "(checked)"):
        assert words in text
    assert "Override: M. Okafor, 2026-11-05: agreed in writing" in text


def test_an_examination_prints_both_verdicts_and_the_table_used() -> None:
    (text,) = texts(PAPERS["examinations"](True))
    assert text.count("rejected") == 2 and "Table 341.3.2" in text and "2018" in text


def test_welders_print_ranges_and_say_who_has_none() -> None:
    (text,) = texts(PAPERS["welders"](True))
    assert "WPQ-21" in text and "25 mm and over" in text
    assert text.count("No qualification on record.") == 2


def test_a_long_log_repeats_its_header_and_counts_its_pages() -> None:
    pages = texts(weld_log_pdf(WeldLogData(TITLE, log_rows(200))))
    assert len(pages) > 5
    for number, text in enumerate(pages, start=1):
        assert "Filler lot" in text and "Examinations" in text
        assert f"{number} of {len(pages)}" in text
        assert CAUTION in text
    whole = " ".join(pages)
    assert all(f"ISO-1101/1/{number} " in whole for number in range(1, 201))


def test_rows_stay_above_the_title_block() -> None:
    document = pypdfium2.PdfDocument(weld_log_pdf(WeldLogData(TITLE, log_rows(200))))
    for place, page in enumerate(document):
        block = 29 if place == 0 else 6  # mm of title at the foot of the sheet
        level = (10 + block) * 72 / 25.4
        textpage = page.get_textpage()
        for found in _where(textpage, "WPS-11"):
            assert found > level


def _where(textpage: Any, words: str) -> list[float]:
    search, levels = textpage.search(words), []
    while (found := search.get_next()) is not None:
        levels.append(textpage.get_charbox(found[0])[1])
    return levels


def test_a_word_longer_than_a_sheet_does_not_run_for_ever() -> None:
    row = FindingRow("x", "note", "J" * 300, "0", "word " * 4000, "y" * 500)
    pages = texts(findings_pdf(FindingsData(titled("Findings"), [row] * 3)))
    assert 1 <= len(pages) <= 12


@pytest.mark.parametrize("paper", ["A4", "A3", "Letter"])
def test_the_log_is_printed_on_every_paper(paper: str) -> None:
    document = pypdfium2.PdfDocument(weld_log_pdf(WeldLogData(TITLE, log_rows(3), paper)))
    across, down = document[0].get_size()
    assert across > down


def test_names_that_pretend_to_be_operators_are_only_printed() -> None:
    title = replace(TITLE, title="(Tj) ET \\( <script>", creator='"quotes" \\ (paren')
    (text,) = texts(weld_log_pdf(WeldLogData(title, ())))
    assert "(Tj) ET \\( <script>" in text and '"quotes" \\ (paren' in text


def test_the_same_data_gives_the_same_bytes_whatever_the_hash_seed() -> None:
    script = (
        "import hashlib; from tests.reports.papers import *; from reports.weld_log import weld_log_pdf;"
        "from reports.weld_map import weld_map_pdf; from reports.package import package_pdf;"
        "parts = [weld_log_pdf(WeldLogData(TITLE, log_rows(60))), weld_map_pdf(weld_map(30)), package_pdf(package())];"
        "print([hashlib.sha256(part).hexdigest() for part in parts])"
    )
    seen = {
        subprocess.run(
            [sys.executable, "-c", script],
            cwd=ROOT,
            env={"PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("0", "1", "4711")
    }
    assert len(seen) == 1
