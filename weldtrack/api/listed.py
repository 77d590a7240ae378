"""The schema as a list that a person reads: each address, its parameters, and the fields that go in and come out."""

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Named:
    """A parameter or a field: its name, what it holds, and what is to be known of it."""

    name: str
    kind: str
    about: str
    is_required: bool


@dataclass(frozen=True, slots=True)
class Operation:
    """One method of one address."""

    method: str
    path: str
    about: str
    parameters: tuple[Named, ...]
    sends: tuple[Named, ...]
    answers: tuple[Named, ...]
    example_sent: str
    example_answered: str


def operations(schema: Mapping[str, Any]) -> list[tuple[str, list[Operation]]]:
    """Return the operations by their heading, in the order of headings."""
    found: dict[str, list[Operation]] = defaultdict(list)
    for path, methods in schema["paths"].items():
        for method, one in methods.items():
            found[one["tags"][0]].append(_operation(schema, method.upper(), path, one))
    return sorted(found.items())


def _operation(schema: Mapping[str, Any], method: str, path: str, one: Mapping[str, Any]) -> Operation:
    body = _json(one.get("requestBody", {}))
    answers = next((_json(answer) for code, answer in one["responses"].items() if code in ("200", "201")), {})
    return Operation(
        method,
        path,
        one.get("description", ""),
        tuple(_parameter(each) for each in one.get("parameters", ())),
        tuple(_fields(schema, body)),
        tuple(_fields(schema, answers)),
        _example(one.get("requestBody", {})),
        next((_example(answer) for code, answer in one["responses"].items() if code in ("200", "201")), ""),
    )


def _example(part: Mapping[str, Any]) -> str:
    """The first example of a body, as a person reads it; empty without one."""
    examples = part.get("content", {}).get("application/json", {}).get("examples", {})
    value = next((each["value"] for each in examples.values()), None)
    return "" if value is None else json.dumps(value, ensure_ascii=False, indent=2)


def _json(part: Mapping[str, Any]) -> Mapping[str, Any]:
    found: Mapping[str, Any] = part.get("content", {}).get("application/json", {}).get("schema", {})
    return found


def _parameter(one: Mapping[str, Any]) -> Named:
    return Named(one["name"], _kind(one.get("schema", {})), one.get("description", ""), one.get("required", False))


def _fields(schema: Mapping[str, Any], part: Mapping[str, Any]) -> Iterable[Named]:
    """The fields of an object; of the rows, where it is a page of them or either one or a list."""
    part = _resolved(schema, next(iter(part.get("oneOf", ())), part))
    properties = part.get("properties", {})
    if set(properties) == {"next", "results"}:
        part = _resolved(schema, properties["results"]["items"])
        properties = part.get("properties", {})
    required = part.get("required", ())
    for name, one in properties.items():
        yield Named(name, _kind(one), one.get("description", ""), name in required)


def _resolved(schema: Mapping[str, Any], part: Mapping[str, Any]) -> Mapping[str, Any]:
    name = part.get("$ref", "").rpartition("/")[2]
    found: Mapping[str, Any] = schema["components"]["schemas"][name] if name else part
    return found


def _kind(one: Mapping[str, Any]) -> str:
    """What a field holds, in words."""
    if words := one.get("enum"):
        return ", ".join(str(word) for word in words if word not in ("", None))
    parts = one.get("oneOf") or one.get("anyOf") or ()
    if parts:
        return " or ".join(filter(None, (_kind(part) for part in parts)))
    kinds = one.get("type", "")
    kinds = [kinds] if isinstance(kinds, str) else list(kinds)
    words = [one["format"] if kind == "string" and "format" in one else kind for kind in kinds]
    return " or ".join(words)
