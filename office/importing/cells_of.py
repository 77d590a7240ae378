"""What stands in the cells that are at fault, read from the file once more."""

from pathlib import Path
from typing import Any

from office.importing.archive import Unreadable
from office.importing.cells import BrokenCell, is_blank, number_text
from office.importing.faults import CellFault
from office.importing.sources import open_source

_LONGEST = 120


def fill_values(path: Path, faults: list[CellFault]) -> None:
    """Fill in what each faulty cell says; a file that can't be read leaves them blank."""
    wanted: dict[str, dict[int, list[CellFault]]] = {}
    for fault in faults:
        if fault.row:
            wanted.setdefault(fault.sheet, {}).setdefault(fault.row, []).append(fault)
    if not wanted:
        return
    try:
        source = open_source(path)
        for sheet, by_row in wanted.items():
            last = max(by_row)
            for number, cells in enumerate(source.rows(sheet), start=1):
                for fault in by_row.get(number, ()):
                    fault.value = _said(cells, fault.column)
                if number >= last:
                    break
    except Unreadable:
        return


def _said(cells: list[Any], column: int) -> str:
    cell = cells[column] if column < len(cells) else ""
    if is_blank(cell):
        return ""
    said = cell.said if isinstance(cell, BrokenCell) else number_text(cell) if type(cell) is float else str(cell)
    return said if len(said) <= _LONGEST else f"{said[:_LONGEST]}..."
