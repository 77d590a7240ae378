"""Workbooks of the importer's tests, written to a folder and imported into job J-1."""

import csv
import zipfile
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

from office.importing.workbook import Outcome, import_workbook
from tests.office.workbooks import Sheets, as_xlsx

CODE = "J-1"


def import_sheets(sheets: Sheets, folder: Path, **options: Any) -> Outcome:
    """Write the sheets as small.xlsx and import them, making the job where there is none."""
    path = folder / "small.xlsx"
    path.write_bytes(as_xlsx(sheets))
    by, code = options.pop("by", None), options.pop("code", CODE)
    return import_workbook(path, code, by=by, may_create=True, **options)


def only(sheets: Sheets, *names: str) -> Sheets:
    """Some sheets of a workbook, without the others."""
    return {name: sheets[name] for name in names}


def write_csv_folder(sheets: Sheets, folder: Path) -> Path:
    """One .csv file a sheet."""
    target = folder / "sheets"
    target.mkdir()
    for name, rows in sheets.items():
        with (target / f"{name.lower()}.csv").open("w", newline="", encoding="utf-8-sig") as file:
            csv.writer(file).writerows([["" if value is None else value for value in row] for row in rows])
    return target


def write_ods(sheets: Sheets, path: Path) -> Path:
    """A plain .ods: every cell a text."""
    tables = "".join(
        f'<table:table table:name="{escape(name)}">{"".join(map(_ods_row, rows))}</table:table>'
        for name, rows in sheets.items()
    )
    return write_ods_content(tables, path)


def write_ods_content(tables: str, path: Path) -> Path:
    """An .ods whose spreadsheet holds these tables."""
    spaces = " ".join(
        f'xmlns:{short}="urn:oasis:names:tc:opendocument:xmlns:{long}:1.0"'
        for short, long in (("office", "office"), ("table", "table"), ("text", "text"))
    )
    content = (
        f'<?xml version="1.0" encoding="UTF-8"?><office:document-content {spaces}><office:body><office:spreadsheet>'
        f"{tables}</office:spreadsheet></office:body></office:document-content>"
    )
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", content)
        archive.writestr(
            "META-INF/manifest.xml",
            '<?xml version="1.0"?><manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"/>',
        )
    return path


def _ods_row(row: list[object]) -> str:
    cells = "".join(
        "<table:table-cell/>"
        if value is None
        else f'<table:table-cell office:value-type="string"><text:p>{escape(str(value))}</text:p></table:table-cell>'
        for value in row
    )
    return f"<table:table-row>{cells}</table:table-row>"
