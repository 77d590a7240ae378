"""Time-based codes of one's own making (RFC 6238), so that the site's are not held against themselves."""

import base64
import hashlib
import hmac
import re
import struct
import time

from django.test import Client

# The secret of RFC 6238, appendix B, as it is typed into a phone.
RFC_SECRET = base64.b32encode(b"12345678901234567890").decode()
PASSWORD = "a-long-enough-one"


def code(secret: str, at: float | None = None) -> str:
    """The six digits that a phone shows."""
    counter = int(time.time() if at is None else at) // 30
    digest = hmac.new(base64.b32decode(secret), struct.pack(">Q", counter), hashlib.sha1).digest()
    offset = digest[-1] & 0x0F
    number = struct.unpack(">I", digest[offset : offset + 4])[0] & 0x7FFFFFFF
    return f"{number % 1_000_000:06d}"


def come_in(client: Client, name: str, password: str = PASSWORD) -> str:
    """Give name and password; returns where the site sends one then, an empty text for nowhere."""
    answer = client.post("/sign-in/", {"username": name, "password": password})
    return answer.headers.get("Location", "")


def set_up(client: Client, next_page: str = "") -> str:
    """Set a second factor up as a person does, and return its secret."""
    page = "/account/second-factor/" + (f"?next={next_page}" if next_page else "")
    asked = client.get(page)
    if asked.status_code == 302:
        confirmed = client.post(asked.headers["Location"], {"password": PASSWORD})
        assert confirmed.status_code == 302, confirmed.content
    found = re.search(r"Secret: <span[^>]*>([A-Z2-7]+)<", client.get(page).text)
    assert found
    answer = client.post(page, {"code": code(found[1])})
    assert answer.status_code == 302, answer.text
    return found[1]


def recovery_codes(client: Client) -> list[str]:
    """The codes that stand on the page."""
    return re.findall(r"<li>(\d{8})</li>", client.get("/account/second-factor/recovery/").text)
