"""Build the demonstration: its job workbook, its certificates, the list of expected findings and its README.

Run `python -m demo.build_workbook` from the root of the repository; the same sources give the same bytes.
"""

import csv
import sys
from datetime import date, datetime
from pathlib import Path

import xlsxwriter
from xlsxwriter.worksheet import Worksheet

from demo.certificates import write_certificates
from demo.drawings import JOINTS
from demo.metal import HEATS
from demo.problems import PROBLEMS
from demo.procedures import FILLER_LOTS
from demo.readme import readme
from demo.sheets import COLUMNS, all_sheets
from demo.story import expected_findings
from demo.works import JOB, Row

FOLDER = Path(__file__).resolve().parent
WORKBOOK = FOLDER / f"{JOB['code']}.xlsx"
_CREATED = datetime(2026, 11, 23, 7, 0)  # noqa: DTZ001 - the workbook's own date has no zone
_WIDEST = 40


def write_workbook(path: Path, sheets: dict[str, list[Row]]) -> None:
    """Write the sheets with their columns to an .xlsx file; text stays text, dates become spreadsheet dates."""
    book = xlsxwriter.Workbook(str(path), {"strings_to_formulas": False, "strings_to_urls": False})
    book.set_properties({"title": str(JOB["name"]), "comments": "Invented for demonstration", "created": _CREATED})
    bold = book.add_format({"bold": True, "bottom": 1})
    day, moment = (book.add_format({"num_format": pattern}) for pattern in ("yyyy-mm-dd", "yyyy-mm-dd hh:mm"))
    for name, rows in sheets.items():
        page = book.add_worksheet(name)
        page.freeze_panes(1, 0)
        columns = COLUMNS[name]
        page.write_row(0, 0, columns, bold)
        for number, row in enumerate(rows, start=1):
            unknown = set(row) - set(columns)
            if unknown:
                raise ValueError(f"{name}: no such column {sorted(unknown)}")
            for across, column in enumerate(columns):
                value = row.get(column)
                if isinstance(value, datetime):
                    page.write_datetime(number, across, value, moment)
                elif isinstance(value, date):
                    page.write_datetime(number, across, value, day)
                elif value is not None:
                    page.write(number, across, value)
        _fit(page, columns, rows)
    book.close()


def _fit(page: Worksheet, columns: list[str], rows: list[Row]) -> None:
    for across, column in enumerate(columns):
        widest = max([len(column), *(len(str(row.get(column) or "")) for row in rows)])
        page.set_column(across, across, min(widest + 2, _WIDEST))


def write_findings(path: Path) -> None:
    """Write what must be open: joint, attempt and code, each once however often it is found; and nothing else."""
    found = expected_findings()
    found += [(problem.joint, "0", problem.code) for problem in PROBLEMS if problem.code]
    order = {key: position for position, key in enumerate(JOINTS)}
    with path.open("w", newline="") as file:
        lines = csv.writer(file, lineterminator="\n")
        lines.writerow(("joint", "attempt", "code"))
        lines.writerows(sorted(set(found), key=lambda row: (order[row[0]], row[2])))


def main() -> None:
    """Write everything beside this file."""
    sheets = all_sheets()
    write_workbook(WORKBOOK, sheets)
    certificates = write_certificates(HEATS, FILLER_LOTS, FOLDER / "certificates")
    write_findings(FOLDER / "expected_findings.csv")
    (FOLDER / "README.md").write_text(readme(sheets))
    sys.stdout.write(f"{WORKBOOK.name}: {sum(map(len, sheets.values()))} rows; {len(certificates)} certificates\n")


if __name__ == "__main__":
    main()
