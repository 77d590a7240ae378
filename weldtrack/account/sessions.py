"""Where a person is signed in: the list, and ending one or all the others."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from allauth.usersessions.models import UserSession

from records.models import User

# What a browser says of itself names its forebears too; the first that fits is the one.
_BROWSERS = (
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("Firefox/", "Firefox"),
    ("Chrome/", "Chrome or Chromium"),
    ("Safari/", "Safari"),
)
_SYSTEMS = (
    ("Android", "Android"), ("iPhone", "iPhone"), ("iPad", "iPad"), ("Windows", "Windows"), ("Mac OS", "Mac"),
    ("CrOS", "Chromebook"), ("Linux", "Linux"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Place:
    """One browser in which a person is signed in."""

    id: int
    device: str
    address: str
    since: datetime
    seen_at: datetime
    is_this: bool


def places(person: User, this: str | None) -> list[Place]:
    """Return where a person is signed in, the latest seen first; what has expired is forgotten. Three queries each.

    this  the key of the session that asks
    """
    found = sorted(UserSession.objects.purge_and_list(person), key=lambda one: one.last_seen_at, reverse=True)
    return [
        Place(one.pk, device(one.user_agent), one.ip, one.created_at, one.last_seen_at, one.session_key == this)
        for one in found
    ]


def end(person: User, which: int) -> int:
    """Sign a person out where that session runs; nothing happens where it is not theirs. Returns how many ended."""
    return _end(UserSession.objects.filter(user=person, pk=which))


def end_all(person: User, but: str | None = None) -> int:
    """Sign a person out everywhere, but in the session with this key. Returns how many ended."""
    return _end(UserSession.objects.filter(user=person).exclude(session_key=but or ""))


def device(agent: str) -> str:
    """Say a browser's own words shortly: "Firefox on Android"."""
    browser = next((name for mark, name in _BROWSERS if mark in agent), "")
    system = next((name for mark, name in _SYSTEMS if mark in agent), "")
    if browser and system:
        return f"{browser} on {system}"
    return browser or system or re.sub(r"[^\w ./-]", "", agent)[:40] or "not known"


def _end(sessions: Iterable[UserSession]) -> int:
    ended = 0
    for one in sessions:
        one.end()
        ended += 1
    return ended
