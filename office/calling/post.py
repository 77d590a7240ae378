"""One call: a POST to the very address that was judged, with a limit on its time and on what is read of the answer."""

import http.client
import socket
import ssl
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from threading import Timer
from typing import IO, Any

from office.calling.door import Address, Shut, parsed, resolved

CONNECT_SECONDS, TOTAL_SECONDS = 5.0, 15.0
# The status and the heads are read, and of them no more than this; what the answer says is nobody's business here.
MOST_READ = 16 * 1024


@dataclass(frozen=True, slots=True)
class Outcome:
    """How a call went: what was answered, or why nothing was; `is_good` for 200 to 299."""

    status: int | None
    error: str
    milliseconds: int

    @property
    def is_good(self) -> bool:
        """Whether it was taken."""
        return self.status is not None and 200 <= self.status < 300


def post(url: str, body: bytes, headers: Mapping[str, str]) -> Outcome:
    """Send a body; every failure is an outcome. A redirect is an answer like any other, and is not followed."""
    started = time.monotonic()
    try:
        status, error = _ask(parsed(url), body, headers), ""
    except Shut as shut:
        status, error = None, str(shut)
    except ssl.SSLError as fault:
        status, error = None, f"TLS: {fault.reason or fault}"
    except TimeoutError:
        status, error = None, "No answer in time."
    except (OSError, http.client.HTTPException, ValueError) as fault:
        late = time.monotonic() - started >= TOTAL_SECONDS
        status, error = None, "No answer in time." if late else _told(fault)
    if status is not None and not 200 <= status < 300:
        error = f"Answered {status}" + ("; redirects are not followed." if 300 <= status < 400 else ".")
    return Outcome(status, error[:200], round((time.monotonic() - started) * 1000))


def _told(fault: Exception) -> str:
    said = getattr(fault, "strerror", None) or str(fault) or "the connection broke off"
    return f"{type(fault).__name__}: {said}"


def _ask(address: Address, body: bytes, headers: Mapping[str, str]) -> int:
    connection = _Pinned(address)
    ends = Timer(TOTAL_SECONDS, connection.break_off)
    ends.daemon = True
    ends.start()
    try:
        connection.request("POST", address.path, body, {**headers, "Connection": "close"})
        return connection.getresponse().status
    finally:
        ends.cancel()
        connection.close()


def _first(ips: Sequence[str], port: int) -> socket.socket:
    """Connect to the first that answers. Raises OSError where none does."""
    for ip in ips[:-1]:
        try:
            return socket.create_connection((ip, port), CONNECT_SECONDS)
        except OSError:
            continue
    return socket.create_connection((ips[-1], port), CONNECT_SECONDS)


class _Limited:
    """What the answer's status and heads are read from: a limit holds for all of them together."""

    def __init__(self, stream: IO[bytes]) -> None:
        self._stream, self._left = stream, MOST_READ

    def readline(self, most: int = -1) -> bytes:
        line = self._stream.readline(min(most, self._left + 1) if most >= 0 else self._left + 1)
        self._left -= len(line)
        if self._left < 0:
            raise http.client.HTTPException("the heads of the answer are too long")
        return line

    def flush(self) -> None:
        self._stream.flush()

    def close(self) -> None:
        self._stream.close()


class _Answer(http.client.HTTPResponse):
    """An answer of which no more than the heads is read."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fp: Any = _Limited(self.fp)


class _Pinned(http.client.HTTPConnection):
    """A connection to the address that was judged, whatever the name leads to a moment later."""

    response_class = _Answer

    def __init__(self, address: Address) -> None:
        super().__init__(address.host, address.port, timeout=CONNECT_SECONDS)
        self.default_port = 443 if address.scheme == "https" else 80
        self._address = address
        self._plain: socket.socket | None = None

    def connect(self) -> None:
        """Look the name up, judge it and connect to what was judged."""
        self.sock = self._plain = _first(resolved(self._address), self._address.port)
        self._plain.settimeout(TOTAL_SECONDS)
        if self._address.scheme == "https":
            context = ssl.create_default_context()
            self.sock = self._plain = context.wrap_socket(self._plain, server_hostname=self._address.host)

    def break_off(self) -> None:
        """End it from another thread: a receiver that sends a letter a second would hold it for ever."""
        if self._plain is not None:
            try:
                # The socket's own: that of TLS would take the keys from under whoever reads.
                socket.socket.shutdown(self._plain, socket.SHUT_RDWR)
            except OSError:
                return
