"""Where the site may call: public addresses over TLS, judged again by what a name resolves to at every attempt."""

import socket
from collections.abc import Callable
from dataclasses import dataclass
from ipaddress import IPv4Address, IPv6Address, ip_address, ip_network
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.core.checks import Error, register
from django.utils.module_loading import import_string

IP = IPv4Address | IPv6Address
OWN_DOOR = "office.calling.door.refusal"
FORM = "https://host/path, up to 500 characters, without name and password"
# Of IPv6 only what is given out to the internet (RFC 4291): all else is inside, or a way to write an IPv4 address.
_GIVEN_OUT = ip_network("2000::/3")
# Not global by the registries' word, or a way to an IPv4 address inside: 6to4, Teredo, a cloud's own wire.
_SHUT = [
    ip_network(one) for one in ("2001::/32", "2002::/16", "3fff::/20", "192.88.99.0/24", "168.63.129.16/32")
]  # fmt: skip
_HERE = ("localhost", ".localhost", ".local", ".internal", ".lan", ".home.arpa", ".intranet", ".corp")


class Shut(Exception):
    """The site does not call there; the sentence says why."""


@dataclass(frozen=True, slots=True)
class Address:
    """The parts of an address to call."""

    scheme: str
    host: str
    port: int
    path: str


def refusal(scheme: str, ip: IP | None) -> str:
    """Say why an address is not called; empty where it may be.

    ip   what it leads to; None where it is a name that was not looked up yet
    """
    if scheme != "https":
        return "Only https is called: what is told must not be read on its way."
    return "" if ip is None or is_public(ip) else f"{ip} is no public address; the site calls none within a network."


def is_public(ip: IP) -> bool:
    """Say whether an address is one that anybody on the internet could reach: no inside, no site of its own."""
    inner = ip.ipv4_mapped if isinstance(ip, IPv6Address) else None
    ip = inner or ip
    if ip.version == 6 and ip not in _GIVEN_OUT:
        return False
    return ip.is_global and not ip.is_multicast and not any(ip in one for one in _SHUT)


def parsed(text: str) -> Address:
    """Read an address without looking its name up. Raises Shut with a sentence for one that is not called."""
    if len(text) > 500 or any(not "!" <= letter <= "~" for letter in text):
        raise Shut("The address is too long, or holds a letter that no address can.")
    try:
        parts = urlsplit(text)
        port = parts.port
    except ValueError as error:
        raise Shut("The address can’t be read.") from error
    host = (parts.hostname or "").rstrip(".")
    if parts.scheme not in ("http", "https") or not host or "@" in parts.netloc or parts.fragment:
        raise Shut("The address is none that can be called.")
    ip = _literal(host)
    if told := _judge(parts.scheme, ip):
        raise Shut(told)
    if ip is None and _judge("https", ip_address("127.0.0.1")) and _is_here(host):
        raise Shut(f"{host} is a name within a network; the site calls public names.")
    path = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
    return Address(parts.scheme, host, port or (443 if parts.scheme == "https" else 80), path)


def resolved(address: Address) -> list[str]:
    """Look the name up now and return the addresses to connect to, the first that answers.

    Raises  Shut where the name is unknown, or any of its addresses is none that is called: whoever answers for the name
            can't lead the call inside by mixing them
    """
    try:
        found = socket.getaddrinfo(address.host, address.port, type=socket.SOCK_STREAM)
    except (OSError, UnicodeError) as error:
        raise Shut(f"The name {address.host} can’t be found.") from error
    ips = list(dict.fromkeys(str(one[4][0]).partition("%")[0] for one in found))
    for ip in ips:
        if told := _judge(address.scheme, ip_address(ip)):
            raise Shut(told)
    return ips


def _literal(host: str) -> IP | None:
    """The address that a host is itself. Raises Shut for one in an odd form, which some read as another: 0x7f.1."""
    try:
        return ip_address(host)
    except ValueError:
        pass
    last = host.rsplit(".", 1)[-1]
    if last.isdigit() or last.lower().startswith("0x"):
        raise Shut(f"{host} is no name; write an address as four numbers.")
    return None


def _is_here(host: str) -> bool:
    name = host.lower()
    return "." not in name or name.endswith(_HERE)


def _judge(scheme: str, ip: IP | None) -> str:
    """Ask the door that the settings name; only tests, whose receivers stand on this computer, name another."""
    door: Callable[[str, IP | None], str] = import_string(settings.WEBHOOK_DOOR)
    return door(scheme, ip)


@register
def check_door(**_about: Any) -> list[Error]:
    """Let no site start with a door of somebody else's."""
    if settings.WEBHOOK_DOOR == OWN_DOOR:
        return []
    return [Error(f"WEBHOOK_DOOR must be {OWN_DOOR}: it keeps webhooks from calling inside.", id="office.E001")]
