"""Read JSON that may be anything."""

from typing import Any

from rest_framework.exceptions import ParseError
from rest_framework.parsers import JSONParser


class SafeJSONParser(JSONParser):
    """JSON, with a sentence where it nests deeper than can be read."""

    def parse(self, stream: Any, media_type: str | None = None, parser_context: Any = None) -> Any:
        """Return what the stream holds."""
        try:
            return super().parse(stream, media_type, parser_context)
        except RecursionError as error:
            raise ParseError("The JSON nests too deep.") from error
