"""A program on this computer that takes webhooks, and misbehaves as it is told."""

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from ipaddress import IPv4Address, IPv6Address
from ssl import SSLContext


@dataclass
class Receiver:
    """Where it stands, what it answers, and what it got: (path, heads, body) of each call."""

    url: str
    status: int = 204
    location: str = ""
    # Seconds between the letters of an answer; 0 answers at once.
    drip: float = 0.0
    padding: int = 0
    got: list[tuple[str, dict[str, str], bytes]] = field(default_factory=list)
    came: threading.Event = field(default_factory=threading.Event)


def open_to_this_computer(scheme: str, ip: IPv4Address | IPv6Address | None) -> str:
    """The door of these tests: loopback, and plain HTTP too."""
    return "" if ip is None or ip.is_loopback else f"{ip} is not this computer"


@contextmanager
def receiving(tls: SSLContext | None = None) -> Iterator[Receiver]:
    """Start a receiver, and stop it."""
    receiver = Receiver("")

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["Content-Length"]))
            receiver.got.append((self.path, {name.lower(): value for name, value in self.headers.items()}, body))
            receiver.came.set()
            if receiver.drip:
                self._drip()
                return
            self.send_response(receiver.status)
            if receiver.location:
                self.send_header("Location", receiver.location)
            for place in range(receiver.padding):
                self.send_header(f"X-{place}", "x" * 1000)
            self.end_headers()

        def _drip(self) -> None:
            try:
                while True:
                    self.wfile.write(b"H")
                    self.wfile.flush()
                    time.sleep(receiver.drip)
            except OSError:
                self.close_connection = True

        def log_message(self, *_args: object) -> None:
            """Say nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    if tls:
        server.socket = tls.wrap_socket(server.socket, server_side=True)
    server.daemon_threads = True
    receiver.url = f"{'https' if tls else 'http'}://localhost:{server.server_address[1]}/spoolbook?x=1"
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True)
    thread.start()
    try:
        yield receiver
    finally:
        server.shutdown()
        server.server_close()
