"""Numbers of an .xlsx that show more than they hold: zeros in front, a unit or word, or percent of their format."""

import re
from collections.abc import Iterator, Mapping
from decimal import Decimal
from xml.etree import ElementTree

from office.importing.cells import BrokenCell

_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_ADDED = re.compile(r'"([^"]*)"|\\(.)')
_ZEROS = re.compile(r"0{2,}")
_NUMBER = re.compile(rb'<c r="([A-Z]+)(\d+)" s="(\d+)"(?: t="n")?><v>(-?[\d.]+(?:E[+-]?\d+)?)</v>')
# The formats that every spreadsheet has without writing them down.
_BUILT_IN = {"9": "0%", "10": "0.00%"}
_SHOWN_FIGURES = 12  # of a binary fraction: 0.07 may be written 7.0000000000000007E-2
_AGAIN = "format the cell as text and type it again as it is meant"


def adding(styles: bytes) -> dict[bytes, str]:
    """Return, by the number of a cell's style, the format that adds something; nothing of styles that can't be read."""
    try:
        sheet = ElementTree.fromstring(styles)
    except ElementTree.ParseError:
        return {}
    codes = {one.get("numFmtId", ""): one.get("formatCode", "") for one in sheet.iter(f"{_MAIN}numFmt")}
    formats = sheet.find(f"{_MAIN}cellXfs")
    if formats is None:
        return {}
    codes = _BUILT_IN | codes
    found = ((str(place).encode(), codes.get(one.get("numFmtId", ""), "")) for place, one in enumerate(formats))
    return {style: code for style, code in found if _ZEROS.fullmatch(code) or _added(code) or _is_percent(code)}


def misleading(piece: bytes, styles: Mapping[bytes, str]) -> Iterator[tuple[bytes, int, BrokenCell | str]]:
    """Yield the numbers in a piece of a sheet that show more than they hold: column, row, and what stands for each.

    A number in a percent format is read as it is shown, `5 %`; of the others nobody knows what was meant.
    """
    for cell in _NUMBER.finditer(piece):
        code = styles.get(cell[3], "")
        number = cell[4].decode()
        if not code or (_ZEROS.fullmatch(code) and len(number) >= len(code)):
            continue
        if _is_percent(code):
            yield cell[1], int(cell[2]), _as_percent(number)
            continue
        added = _added(code)
        what = f'"{added}" in its format only' if added else "zeros in front in its format only"
        yield cell[1], int(cell[2]), BrokenCell(f"a number, {number}, with {what}; {_AGAIN}")


def _is_percent(code: str) -> bool:
    """Whether a format shows a hundred times the number, with the sign of percent."""
    return "%" in _ADDED.sub("", code)


def _as_percent(number: str) -> str:
    shown = f"{float(number) * 100:.{_SHOWN_FIGURES}g}"
    return f"{Decimal(shown):f} %"


def _added(code: str) -> str:
    """The letters that a format adds to a number; a format of days and times adds none."""
    plain = _ADDED.sub("", code)
    if re.search(r"[dmyhs]", re.sub(r"\[[^\]]*\]", "", plain), re.IGNORECASE):
        return ""
    said = "".join(quoted or escaped for quoted, escaped in _ADDED.findall(code.split(";")[0])).strip()
    return said if re.search(r"[^\W\d_]|[\"'°]", said) else ""
