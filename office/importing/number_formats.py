"""Numbers of an .xlsx that show more than they hold: zeros in front, a unit or word, or percent of their format."""

import re
import sys
from collections.abc import Iterator, Mapping
from decimal import Decimal
from xml.etree import ElementTree

from office.importing.cells import BrokenCell

_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_ADDED = re.compile(r'"([^"]*)"|\\(.)')
_LONGEST_CODE = 255  # of a format, as spreadsheet programs have it
_ZEROS = re.compile(r"0{2,}")
_NUMBER = re.compile(
    rb'<c r="([A-Z]{1,3})(\d{1,7})" s="(\d{1,7})"(?: t="n")?><v>(-?\d{1,40}(?:\.\d{1,40})?(?:E[+-]?\d{1,3})?)</v>'
)
# The formats that every spreadsheet has without writing them down.
_BUILT_IN = {"9": "0%", "10": "0.00%"}
_SHOWN_FIGURES = 12  # of a binary fraction: 0.07 may be written 7.0000000000000007E-2
_AGAIN = "format the cell as text and type it again as it is meant"


def adding(styles: bytes) -> dict[bytes, str]:
    """Return, by the number of a cell's style, the format that adds something; nothing of styles that can't be read."""
    found = _Formats()
    try:
        parser = ElementTree.XMLParser(target=found)
        parser.feed(styles)
        parser.close()
    except ElementTree.ParseError:
        return {}
    codes = _BUILT_IN | found.codes
    by_style = ((str(place).encode(), codes.get(key, "")) for place, key in enumerate(found.of_styles))
    return {style: code for style, code in by_style if _ZEROS.fullmatch(code) or _added(code) or _is_percent(code)}


class _Formats:
    """Follows the styles of a workbook and keeps its formats, and which of them each style of a cell has."""

    def __init__(self) -> None:
        self.codes: dict[str, str] = {}
        self.of_styles: list[str] = []
        self._is_inside = False

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        key = attributes.get("numFmtId", "")
        if tag == f"{_MAIN}numFmt":
            self.codes[key] = attributes.get("formatCode", "")[:_LONGEST_CODE]
        elif tag == f"{_MAIN}cellXfs":
            self._is_inside = True
        elif self._is_inside and tag == f"{_MAIN}xf":
            self.of_styles.append(sys.intern(key))

    def end(self, tag: str) -> None:
        self._is_inside = self._is_inside and tag != f"{_MAIN}cellXfs"

    def data(self, text: str) -> None:
        """Texts say nothing here."""

    def close(self) -> None:
        """Nothing is left to do."""


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
