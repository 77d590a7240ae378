"""What is written down, a line each: no name that somebody chose begins a line of its own."""

import logging
import re

_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")


class OneLine(logging.Formatter):
    """A formatter whose message stays on its line; what a fault left behind follows on lines of its own."""

    def formatMessage(self, record: logging.LogRecord) -> str:
        """Return the line, with signs that move the pen written out."""
        return _CONTROL.sub(lambda sign: f"\\x{ord(sign[0]):02x}", super().formatMessage(record))
