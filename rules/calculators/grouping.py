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
# Of Section IX from memory, beside those that the tables here have figures for: P-Numbers of QW-422 (copper alloys),
# the A-Numbers of QW-442, processes of QW-250.
_P_NUMBERS = ("31", "32", "33", "34", "35")
_A_NUMBERS = tuple(str(one) for one in range(1, 13))
_PROCESSES = ("OFW", "ESW", "EGW", "EBW", "LBW", "SW", "FRW")
_APART = r"\s*[,;]\s*"
_NUMBERS_APART = rf"{_APART}|(?:(?<=\d)|(?<=\d[A-Za-z]))\s+(?=[Pp\d])"  # a space within `P-No. 8` parts nothing
_PROCESSES_APART = r"\s*[,;/+]\s*|\s+"


def known_processes() -> tuple[str, ...]:
    """The processes of Section IX, without their variants."""
    return (*(row["process"] for row in table("heat_input_factors").rows), *_PROCESSES)


def p_number(asked: Asked, key: str) -> str:
    """A P-Number without its prefix, empty where none was given; raises ComputeError for one that there is not."""
    return _one(asked, key, _known_p)


def f_number(asked: Asked, key: str) -> str:
    """F-Numbers with commas between, of a filler's classification its own; empty where none was given."""
    return ", ".join(_listed(asked, key, _known_f, r"\s*[,;+]\s*", "6, 4"))


def a_number(asked: Asked, key: str) -> str:
    """An A-Number without its prefix, empty where none was given."""
    return _one(asked, key, _known_a)


def process(asked: Asked, key: str) -> str:
    """A process, with its variant as in `GMAW-S` or `FCAW-G`; empty where none was given."""
    return _one(asked, key, _known_process)


def transfer(asked: Asked, key: str) -> str:
    """A transfer mode as typed; empty where none was given."""
    return _one(asked, key, _known_transfer)


def place(asked: Asked, key: str) -> str:
    """A position of a weld as typed; empty where none was given."""
    return _one(asked, key, _known_place)


def p_numbers(asked: Asked, key: str) -> tuple[str, ...]:
    """P-Numbers in a list, or all."""
    return _listed(asked, key, _known_p, _NUMBERS_APART, "1, 8")


def processes(asked: Asked, key: str) -> tuple[str, ...]:
    """Processes in a list, or all."""
    return _listed(asked, key, _known_process, _PROCESSES_APART, "GTAW, SMAW")


def places(asked: Asked, key: str) -> tuple[str, ...]:
    """Positions in a list, or all."""
    return _listed(asked, key, _known_place, r"[,;\s]+", "2G, 5G")


Known = Callable[[str, str], str]  # of a name, and what its refusal says besides: the name as it is kept


def _one(asked: Asked, key: str, known: Known) -> str:
    text = asked.text(key, "")
    with asked.about(key):
        return known(text, "") if text else ""


def _listed(asked: Asked, key: str, known: Known, apart: str, example: str) -> tuple[str, ...]:
    parts = [one for one in re.split(apart, asked.text(key, "").strip()) if one]
    more = f"; several are written {example}"
    with asked.about(key):
        return tuple(one.lower() if one.lower() == EVERY else known(one, more) for one in parts)


def _known_p(text: str, more: str) -> str:
    listed = [one for row in table("p_numbers_qw423").rows for one in row["p_numbers"].split()]
    of_materials = (row["p_number"] for row in table("materials").rows)
    return _among("P-Number", text, bare_p(text), (*listed, *of_materials, *_P_NUMBERS), more)


def _known_f(text: str, more: str) -> str:
    if own := f_number_of(text):
        return own
    listed = [one for row in table("f_numbers_qw433").rows for one in row["tested"].split()]
    plain = re.sub(r"^F\s*-?\s*(NO\.?)?\s*", "", text.upper())
    return _among("F-Number", text, plain, listed, more)


def _known_a(text: str, more: str) -> str:
    plain = re.sub(r"^A\s*-?\s*(NO\.?)?\s*", "", text.upper())
    return _among("A-Number", text, plain, _A_NUMBERS, more)


def _known_process(text: str, more: str) -> str:
    plain, listed = text.upper(), known_processes()
    return plain if base_process(plain) in listed else _among("process", text, plain, listed, more)


def _known_transfer(text: str, more: str) -> str:
    return text if is_short_transfer(text) else _among("transfer", text, text.lower(), TRANSFERS, more)


def _known_place(text: str, more: str) -> str:
    if needed(text):
        return text
    listed = (*NAMES.values(), *known_test_positions("pipe"), *known_test_positions("plate"), EVERY)
    return _among("position", text, text, listed, more)


def _among(kind: str, text: str, plain: str, known: Iterable[str], more: str) -> str:
    accepted = tuple(dict.fromkeys(known))
    if plain not in accepted:
        raise NotAccepted(f'There is no {kind} "{text}"', plain, accepted, more=more)
    return plain
