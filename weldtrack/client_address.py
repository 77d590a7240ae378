"""Find the address that a request came from, behind as many proxies as are ours."""

from ipaddress import IPv6Address, ip_address, ip_network

from django.conf import settings
from django.http import HttpRequest


def client_address(request: HttpRequest) -> str:
    """Return the caller's address. Only what our own proxies appended is believed: the rest anyone can write."""
    direct: str = request.META.get("REMOTE_ADDR", "")
    if not settings.PROXIES:
        return direct
    chain = [part.strip() for part in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",") if part.strip()]
    return chain[-settings.PROXIES] if len(chain) >= settings.PROXIES else direct


def counted_address(request: HttpRequest) -> str:
    """Return the address under which wrong passwords are counted: of IPv6 the network of 64 bits that one customer has.

    Else whoever has a line has as many tries as the line has addresses.
    """
    address = client_address(request)
    try:
        ip = ip_address(address.partition("%")[0])
    except ValueError:
        return address
    if not isinstance(ip, IPv6Address):
        return address
    return str(ip.ipv4_mapped or ip_network((ip, 64), strict=False).network_address)
