"""Letters on paper: embedded fonts, widths, wrapping and shortening, and a fallback for scripts that B612 lacks."""

import re
from collections.abc import Iterator, Sequence
from functools import cache, lru_cache
from pathlib import Path
from typing import Final

from reportlab import rl_config
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from reports.script import in_reading_order

FOLDER: Final = Path(__file__).parent / "fonts"
FILES: Final = {
    "plain": "B612-Regular.ttf",
    "bold": "B612-Bold.ttf",
    "mono": "B612Mono-Regular.ttf",
    "gothic": "RoutedGothic.ttf",
    "other": "DejaVuSans.ttf",
    "east": "DroidSansFallback.ttf",
}
FALLBACKS: Final = ("other", "east")  # Greek, Cyrillic, Hebrew, Arabic, signs; then Chinese, Japanese, Korean
ELLIPSIS: Final = "…"

rl_config.useA85 = 0  # plain binary streams: a quarter smaller, and no one reads them by eye


_SPACE: Final = re.compile(r" (?!%)")  # a number and its % stay on one line


@cache
def font(face: str) -> TTFont:
    """The font of a face, registered with reportlab under the face's name."""
    made = TTFont(f"spoolbook-{face}", str(FOLDER / FILES[face]))
    pdfmetrics.registerFont(made)
    return made


@cache
def _widths(face: str) -> dict[int, float]:
    """Advance of every glyph the face has, in thousandths of an em, by code point."""
    made = font(face)
    return dict(made.face.charWidths)


def pieces(text: str, face: str = "plain") -> list[tuple[str, str]]:
    """The text in visual order as (face, text) runs; a sign that no font has becomes its code point, <U+1F525>.

    Raises  KeyError for an unknown face
    """
    if text.isascii() and text.isprintable():
        return [(face, text)]
    runs: list[tuple[str, str]] = []
    for use, shown in _words(in_reading_order(text), face):
        if runs and runs[-1][0] == use:
            runs[-1] = (use, runs[-1][1] + shown)
        else:
            runs.append((use, shown))
    return runs


def _words(text: str, face: str) -> Iterator[tuple[str, str]]:
    """Each word in the first face that has all of it, so that no word changes its hand; else sign by sign."""
    for word in re.split(r"(\s+)", text):
        codes = {ord(sign) for sign in word}
        use = next((use for use in (face, *FALLBACKS) if codes <= _widths(use).keys()), None)
        if word and use and word.isprintable():
            yield use, word
        else:
            yield from (_shown(sign, face) for sign in word)


def _shown(sign: str, face: str) -> tuple[str, str]:
    """The face that has a sign, and what is printed: a space for any white space, nothing for a control sign."""
    if sign.isspace():
        return face, " "
    if not sign.isprintable():
        return face, ""
    for use in (face, *FALLBACKS):
        if ord(sign) in _widths(use):
            return use, sign
    return face, f"<U+{ord(sign):04X}>"


@lru_cache(maxsize=65536)
def width(text: str, size: float, face: str = "plain") -> float:
    """Width of the text in the unit of `size`."""
    total = 0.0
    for use, run in pieces(text, face):
        known = _widths(use)
        total += sum(known.get(ord(sign), 600) for sign in run)
    return total * size / 1000


def shorten(text: str, room: float, size: float, face: str = "plain", *, keep_end: bool = False) -> str:
    """The text, or as much as fits into `room` with an ellipsis: at its end, or in the middle with `keep_end`."""
    if width(text, size, face) <= room:
        return text

    def cut(kept: int) -> str:
        head = (kept + 1) // 2 if keep_end else kept
        return text[:head].rstrip() + ELLIPSIS + text[len(text) - (kept - head) :].lstrip()

    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        if width(cut(middle), size, face) <= room:
            low = middle
        else:
            high = middle - 1
    return cut(low)


def wrap(text: str, room: float, size: float, face: str = "plain", lines: int = 99) -> list[str]:
    """The text in lines no wider than `room`; a word too long is broken, and past `lines` the last one is shortened."""
    if width(text, size, face) <= room and "\n" not in text:
        return [text]
    done: list[str] = []
    for paragraph in text.split("\n"):
        done += _wrapped(_SPACE.split(paragraph), room, size, face)
    if len(done) > lines:
        rest = " ".join(done[lines - 1 :])
        done = [*done[: lines - 1], shorten(rest, room, size, face)]
    return done


def _wrapped(words: Sequence[str], room: float, size: float, face: str) -> list[str]:
    lines = [""]
    for word in words:
        trial = f"{lines[-1]} {word}" if lines[-1] else word
        if width(trial, size, face) <= room:
            lines[-1] = trial
            continue
        parts = _broken(word, room, size, face)
        if lines[-1]:
            lines += parts
        else:
            lines[-1:] = parts
    return lines


def _broken(word: str, room: float, size: float, face: str) -> list[str]:
    """A word cut into parts that fit, after a hyphen, slash, comma or dot where there is one."""
    parts = []
    while width(word, size, face) > room and len(word) > 1:
        cut = max((n for n in range(1, len(word)) if width(word[:n], size, face) <= room), default=1)
        soft = max((word.rfind(mark, 1, cut) + 1 for mark in "-/,._;"), default=0)
        cut = soft if soft > cut // 3 else cut
        parts.append(word[:cut])
        word = word[cut:]
    return [*parts, word]
