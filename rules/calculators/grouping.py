"""Numbers, processes, transfers and positions of Section IX as a person types them, each one that there is."""

import re
from collections.abc import Callable, Iterable

from rules.calculators.asked import Asked
from rules.continuity import base_process
from rules.nearest import NotAccepted
from rules.positions import NAMES, needed
from rules.procedure import bare_p
from rules.ranges import SHORT, f_number_of, is_short_transfer, known_test_positions
from rules.tables import table

EVERY = "all"
TRANSFERS = (SHORT, "spray", "globular", "pulsed")


def p_number(asked: Asked, key: str) -> str:
    """A P-Number without its prefix, empty where none was given; raises ComputeError for one that there is not."""
    return _one(asked, key, _known_p)


def f_number(asked: Asked, key: str) -> str:
    """F-Numbers with commas between, of a filler's classification its own; empty where none was given."""
    return ", ".join(_listed(asked, key, _known_f, apart=r"\s*[,;+]\s*"))


def a_number(asked: Asked, key: str) -> str:
    """An A-Number that the fillers here have, empty where none was given."""
    return _one(asked, key, _known_a)


def process(asked: Asked, key: str) -> str:
    """A process, with `-S` for short-circuiting transfer; empty where none was given."""
    return _one(asked, key, _known_process)


def transfer(asked: Asked, key: str) -> str:
    """A transfer mode as typed; empty where none was given."""
    return _one(asked, key, _known_transfer)


def place(asked: Asked, key: str) -> str:
    """A position of a weld as typed; empty where none was given."""
    return _one(asked, key, _known_place)


def p_numbers(asked: Asked, key: str) -> tuple[str, ...]:
    """P-Numbers in a list, or all."""
    return _listed(asked, key, _known_p)


def processes(asked: Asked, key: str) -> tuple[str, ...]:
    """Processes in a list, or all."""
    return _listed(asked, key, _known_process)


def places(asked: Asked, key: str) -> tuple[str, ...]:
    """Positions in a list, or all."""
    return _listed(asked, key, _known_place)


def _one(asked: Asked, key: str, known: Callable[[str], str]) -> str:
    text = asked.text(key, "")
    with asked.about(key):
        return known(text) if text else ""


def _listed(asked: Asked, key: str, known: Callable[[str], str], apart: str = r"[,;\s]+") -> tuple[str, ...]:
    parts = [one for one in re.split(apart, asked.text(key, "").strip()) if one]
    with asked.about(key):
        return tuple(one.lower() if one.lower() == EVERY else known(one) for one in parts)


def _known_p(text: str) -> str:
    """Those that a family of QW-423 or a material here has."""
    listed = (one for row in table("p_numbers_qw423").rows for one in row["p_numbers"].split())
    return _among("P-Number", text, bare_p(text), (*listed, *(row["p_number"] for row in table("materials").rows)))


def _known_f(text: str) -> str:
    if own := f_number_of(text):
        return own
    listed = [one for row in table("f_numbers_qw433").rows for one in row["tested"].split()]
    plain = re.sub(r"^F\s*-?\s*(NO\.?)?\s*", "", text.upper())
    return _among("F-Number", text, plain, listed)


def _known_a(text: str) -> str:
    plain = re.sub(r"^A\s*-?\s*(NO\.?)?\s*", "", text.upper())
    return _among("A-Number", text, plain, (row["a_number"] for row in table("fillers").rows if row["a_number"]))


def _known_process(text: str) -> str:
    plain = text.upper()
    listed = [row["process"] for row in table("heat_input_factors").rows]
    return plain if base_process(plain) in listed else _among("process", text, plain, listed)


def _known_transfer(text: str) -> str:
    return text if is_short_transfer(text) else _among("transfer", text, text.lower(), TRANSFERS)


def _known_place(text: str) -> str:
    if needed(text):
        return text
    listed = (*NAMES.values(), *known_test_positions("pipe"), *known_test_positions("plate"), EVERY)
    return _among("position", text, text, listed)


def _among(kind: str, text: str, plain: str, known: Iterable[str]) -> str:
    accepted = tuple(dict.fromkeys(known))
    if plain not in accepted:
        raise NotAccepted(f'There is no {kind} "{text}"', plain, accepted)
    return plain
