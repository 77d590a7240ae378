"""Find the address that a request came from, behind as many proxies as are ours."""

from django.conf import settings
from django.http import HttpRequest


def client_address(request: HttpRequest) -> str:
    """Return the caller's address. Only what our own proxies appended is believed: the rest anyone can write."""
    direct: str = request.META.get("REMOTE_ADDR", "")
    if not settings.PROXIES:
        return direct
    chain = [part.strip() for part in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",") if part.strip()]
    return chain[-settings.PROXIES] if len(chain) >= settings.PROXIES else direct
