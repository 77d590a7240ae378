"""What every operation of the schema may answer beside its own: the problems of RFC 9457."""

from typing import Any

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
