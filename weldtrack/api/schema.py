"""What the schema says beside the fields: the problems of RFC 9457, and examples that a test holds to be true."""

import json
from functools import cache
from pathlib import Path
from typing import Any

from records.api.writing import MOST
from weldtrack.problems import MEDIA_TYPE

PROBLEM = {
    "type": "object",
    "description": "What went wrong (RFC 9457), with each field at fault.",
    "properties": {
        "type": {"type": "string"},
        "title": {"type": "string"},
        "status": {"type": "integer"},
        "detail": {"type": "string"},
        "errors": {
            "type": "array",
            "items": {
                "type": "object",
                "properties": {name: {"type": "string"} for name in ("field", "message", "accepted")},
                "required": ["field", "message", "accepted"],
            },
        },
    },
    "required": ["type", "title", "status", "detail", "errors"],
}
EXAMPLES = Path(__file__).with_name("examples.json")
PROBLEM_EXAMPLE = {
    "type": "about:blank",
    "title": "A value can't be right",
    "status": 422,
    "detail": "The date 2100-01-01 is in the future.",
    "errors": [
        {
            "field": "date",
            "message": "The date 2100-01-01 is in the future.",
            "accepted": "a day up to 2026-03-31",
        }
    ],
}
READING = {
    "401": "Not signed in",
    "403": "The role does not include this",
    "404": "Not here, or not for you",
    "406": "JSON only",
    "422": "A value can't be",
    "503": "Others are writing; send it again in a minute",
}
WRITING = READING | {
    "400": "The body can't be read as JSON",
    "409": "The id is taken by other content",
    "413": "The body is too large",
    "415": "JSON only",
}


def tell_problems(result: dict[str, Any], generator: Any, **_about: Any) -> dict[str, Any]:
    """Add to each operation the problems that it can answer with."""
    result["components"].setdefault("schemas", {})["Problem"] = PROBLEM
    content = {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}}
    for methods in result["paths"].values():
        for method, one in methods.items():
            for status, about in (WRITING if method == "post" else READING).items():
                one["responses"].setdefault(status, {"description": about, "content": content})
    return result


def tell_limits(result: dict[str, Any], generator: Any, **_about: Any) -> dict[str, Any]:
    """Add how many records a list may have, and that something must be sent: what the library leaves out."""
    for name, one in result["components"]["schemas"].items():
        for either in one.get("oneOf", ()) if name.endswith("Sent") else ():
            if either.get("type") == "array":
                either |= {"minItems": 1, "maxItems": MOST}
    for methods in result["paths"].values():
        if body := methods.get("post", {}).get("requestBody"):
            body["required"] = True
    return result


def show_examples(result: dict[str, Any], generator: Any, **_about: Any) -> dict[str, Any]:
    """Add to each operation what was sent to it and answered on a job; see tests/weldtrack/test_api_examples.py."""
    told = _examples()
    for methods in result["paths"].values():
        for one in methods.values():
            if example := told.get(one["operationId"]):
                _show(one, example)
    return result


def _show(operation: dict[str, Any], example: dict[str, Any]) -> None:
    sent = operation.get("requestBody", {}).get("content", {})
    takes_list = operation["operationId"].startswith("record_")
    for content in sent.values():
        content["examples"] = _named(example["request"], takes_list=takes_list)
    for status in ("200", "201"):
        for content in operation["responses"].get(status, {}).get("content", {}).values():
            content["examples"] = _named(example["answer"], takes_list=takes_list)
    for answer in operation["responses"].values():
        if content := answer.get("content", {}).get(MEDIA_TYPE):
            content["examples"] = {"problem": {"value": PROBLEM_EXAMPLE}}


def _named(value: Any, *, takes_list: bool) -> dict[str, Any]:
    """One, and a list of it where the operation takes both."""
    return {"one": {"value": value}} | ({"list": {"value": [value]}} if takes_list else {})


@cache
def _examples() -> dict[str, Any]:
    found: dict[str, Any] = json.loads(EXAMPLES.read_text(encoding="utf-8")) if EXAMPLES.exists() else {}
    return found
