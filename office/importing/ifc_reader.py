"""Read the piping of an IFC file (ISO 16739) in a process of its own: it may be made to fill memory or take for ever.

Run as `python -m office.importing.ifc_reader FILE`; answers with the parts as JSON, or with the sentence why not.
"""

import json
import os
import resource
import sys
from typing import Any, Final, TextIO

# Of addresses, of which the package takes 155 MB more than it stands in: what is read stays within 256 MB of memory.
MOST_MEMORY: Final = 390 * 1024 * 1024
MOST_SECONDS: Final = 60
MOST_PARTS: Final = 20_000
# Characters of the answer, which whoever asked holds in memory; that of the most parts, with all their words, is half.
MOST_ANSWER: Final = 100_000_000
_SCHEMAS: Final = ("IFC2X3", "IFC4", "IFC4X3")


class Unreadable(Exception):
    """A file that can't be read, in a sentence."""


def read(path: str) -> dict[str, Any]:
    """The parts of a model's piping, one by one, and what else it holds, as plain values. Raises Unreadable"""
    # The package is an extra, and starting it takes longer than most pages do.
    import ifcopenshell  # noqa: PLC0415

    from office.importing.ifc_measures import Unclear  # noqa: PLC0415
    from office.importing.ifc_parts import TooMany, parts_of  # noqa: PLC0415

    try:
        model: Any = ifcopenshell.open(path)
    except Exception as error:
        raise Unreadable(f"is damaged, holds more than can be read, or is no IFC file: {first_line(error)}") from error
    if not isinstance(model, ifcopenshell.file) or model.schema not in _SCHEMAS:
        schema = getattr(model, "schema", "unknown")
        raise Unreadable(f"is of the schema {schema}; accepted are {', '.join(_SCHEMAS)}")
    try:
        return parts_of(model)
    except MemoryError:
        raise
    except (TooMany, Unclear) as fault:
        raise Unreadable(str(fault)) from fault
    except Exception as error:
        raise Unreadable(f"holds what can't be followed: {first_line(error)}") from error


def first_line(error: Exception) -> str:
    """What an error says, in one line."""
    lines = str(error).strip().splitlines()
    return lines[0][:200] if lines else type(error).__name__


def _main(path: str) -> None:
    for limit, most in ((resource.RLIMIT_AS, MOST_MEMORY), (resource.RLIMIT_CPU, MOST_SECONDS)):
        resource.setrlimit(limit, (most, most))
    # Whatever the reader prints, the answer alone goes to the caller.
    answer = os.dup(1)
    os.dup2(2, 1)
    try:
        told: dict[str, Any] = read(path)
    except Unreadable as error:
        told = {"fault": str(error)}
    except ImportError:
        told = {"fault": "can't be read here: this site has not the extra `ifc`; ask whoever runs it to install that"}
    with os.fdopen(answer, "w") as out:
        write(told, out)


def write(told: dict[str, Any], out: TextIO) -> None:
    """Write an answer as JSON, its parts as they come. Raises MemoryError where it grows too long"""
    length = out.write('{"parts": [')
    for place, part in enumerate(told.pop("parts", ())):
        length += out.write(("," if place else "") + json.dumps(part))
        if length > MOST_ANSWER:
            raise MemoryError
    out.write("]" + "".join(f", {json.dumps(key)}: {json.dumps(value)}" for key, value in told.items()) + "}")


if __name__ == "__main__":
    _main(sys.argv[1])
