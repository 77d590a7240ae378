"""Right-to-left names on paper: letters in reading order and, in Arabic, in the form their neighbours ask for.

A small part of the Unicode bidirectional algorithm (UAX 9), enough for a name or a remark of one or two directions:
runs of right-to-left letters are reversed as a whole, numbers in them keep their order, brackets are mirrored.
"""

from functools import lru_cache
from unicodedata import bidirectional, combining, decomposition, mirrored

RIGHT_TO_LEFT = {"R", "AL"}
NUMBERS = {"EN", "AN"}
PAIRS = str.maketrans("()[]{}<>«»", ")(][}{><»«")
TRANSPARENT = {"NSM", "BN"}


def in_reading_order(text: str) -> str:
    """The text as its glyphs stand on paper from left to right."""
    kinds = [bidirectional(sign) for sign in text]
    if not RIGHT_TO_LEFT & set(kinds):
        return text
    shaped = _shaped(text)
    strong_first = next((kind for kind in kinds if kind in RIGHT_TO_LEFT or kind == "L"), "L")
    base_right = strong_first in RIGHT_TO_LEFT
    runs = _runs(shaped, base_right)
    placed = [_reversed(run) if right else run for right, run in runs]
    return "".join(reversed(placed) if base_right else placed)


def _runs(text: str, base_right: bool) -> list[tuple[bool, str]]:
    """The text cut where its direction turns; neutrals go with the letters on both sides, else with the whole."""
    directions: list[bool | None] = []
    for sign in text:
        kind = bidirectional(sign)
        after_right = next((d for d in reversed(directions) if d is not None), base_right)
        if kind in RIGHT_TO_LEFT:
            directions.append(True)
        elif kind == "L":
            directions.append(False)
        elif kind in NUMBERS or kind in TRANSPARENT:
            directions.append(after_right)
        else:
            directions.append(None)
    runs: list[tuple[bool, str]] = []
    for place, sign in enumerate(text):
        right = directions[place]
        if right is None:
            before = next((d for d in reversed(directions[:place]) if d is not None), base_right)
            after = next((d for d in directions[place:] if d is not None), base_right)
            right = before if before == after else base_right
        if runs and runs[-1][0] == right:
            runs[-1] = (right, runs[-1][1] + sign)
        else:
            runs.append((right, sign))
    return runs


def _reversed(run: str) -> str:
    """A right-to-left run turned around, with its numbers left as they are and its marks after their letters."""
    units: list[str] = []
    for sign in run:
        kind = bidirectional(sign)
        glued = units and (combining(sign) or (kind in NUMBERS and bidirectional(units[-1][-1]) in NUMBERS))
        if glued:
            units[-1] += sign
        else:
            units.append(sign.translate(PAIRS) if mirrored(sign) or sign in "<>" else sign)
    return "".join(reversed(units))


@lru_cache(maxsize=1)
def _forms() -> dict[str, dict[str, str]]:
    """Letter -> position (isolated, initial, medial, final) -> presentation form, as Unicode's own data has them."""
    forms: dict[str, dict[str, str]] = {}
    for code in (*range(0xFB50, 0xFBB2), *range(0xFBD3, 0xFC00), *range(0xFE70, 0xFEFD)):
        parts = decomposition(chr(code)).split()
        if len(parts) == 2 and parts[0] in {"<isolated>", "<initial>", "<medial>", "<final>"}:
            forms.setdefault(chr(int(parts[1], 16)), {})[parts[0].strip("<>")] = chr(code)
    lam = "\u0644"
    for alef, isolated, final in (
        ("\u0622", 0xFEF5, 0xFEF6),
        ("\u0623", 0xFEF7, 0xFEF8),
        ("\u0625", 0xFEF9, 0xFEFA),
        ("\u0627", 0xFEFB, 0xFEFC),
    ):  # the ligatures that every reader expects
        forms[lam + alef] = {"isolated": chr(isolated), "final": chr(final)}
    return forms


def _shaped(text: str) -> str:
    """Arabic letters in the form that joins them to their neighbours."""
    forms = _forms()
    letters: list[str] = []
    for sign in text:
        if letters and letters[-1] + sign in forms:
            letters[-1] += sign
        else:
            letters.append(sign)
    bare = [place for place, letter in enumerate(letters) if not combining(letter[-1])]
    for before, place, after in zip([None, *bare[:-1]], bare, [*bare[1:], None], strict=True):
        own = forms.get(letters[place])
        if own is None:
            continue
        joined_before = before is not None and _joins_on(letters[before], forms)
        joined_after = after is not None and "initial" in own and _takes(letters[after], forms)
        letters[place] = _form(own, joined_before and "final" in own, joined_after) or letters[place]
    return "".join(letters)


def _form(own: dict[str, str], before: bool, after: bool) -> str | None:
    position = {(True, True): "medial", (True, False): "final", (False, True): "initial", (False, False): "isolated"}
    return own.get(position[before, after])


def _joins_on(letter: str, forms: dict[str, dict[str, str]]) -> bool:
    """Whether a letter, shaped or not, reaches out to the one after it."""
    return any("initial" in own and (letter == base or letter in own.values()) for base, own in forms.items())


def _takes(letter: str, forms: dict[str, dict[str, str]]) -> bool:
    """Whether a letter can be joined from the one before it."""
    return "final" in forms.get(letter, {})
