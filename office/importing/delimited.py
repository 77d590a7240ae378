"""The text of a .csv file: in which encoding it is written, and what separates its values. Neither is guessed."""

import codecs
import re

from office.importing.archive import Unreadable

SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab"}
_LOOKED_AT = 1_000
_LINE = re.compile(r"[\r\n]")
_SAID = re.compile(r'"?sep=([,;\t])"?\r?\n?')
_MARKED = (
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


def decoded(name: str, content: bytes) -> str:
    """Return a file's text: UTF-8, or the UTF-16 or UTF-32 that its first bytes say. Raises Unreadable"""
    encoding = next((encoding for mark, encoding in _MARKED if content.startswith(mark)), "utf-8")
    try:
        text = content.decode(encoding).removeprefix("\ufeff")
    except UnicodeDecodeError as error:
        raise Unreadable(f"{name} is not written in {encoding.upper()}; save it as CSV UTF-8") from error
    top = text[:_LOOKED_AT]
    if top.count("\0") * 4 > len(top):
        raise Unreadable(f"{name} is written in UTF-16 without saying so at its beginning; save it as CSV UTF-8")
    return text


def separated(name: str, text: str) -> tuple[str, str]:
    """Return what separates the values, by the row of headings or by a first line `sep=;`, and the text without that.

    Raises Unreadable where two separators stand equally often in the headings
    """
    if said := _SAID.match(text):
        return said[1], "\n" + text[said.end() :]  # a blank row in its place, so that rows keep their numbers
    first = next((line for line in _LINE.split(text) if line.strip(' ,;\t"')), "")
    outside = re.sub(r'"[^"]*"', "", first)
    counts = {mark: outside.count(mark) for mark in SEPARATORS}
    most = max(counts, key=counts.__getitem__)
    alike = [SEPARATORS[mark] for mark, count in counts.items() if count == counts[most] and count]
    if len(alike) > 1:
        raise Unreadable(f"{name} can be read with {' or '.join(alike)} between its values; use one of them alone")
    return most, text
