"""Read one setting from the environment, or refuse it with a sentence that says what is accepted."""

import os
import secrets
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

YES = {"1", "true", "yes", "on"}
NO = {"0", "false", "no", "off", ""}
LOOPBACK = ("127.0.0.1", "localhost", "[::1]")


def yes_or_no(name: str, *, default: bool) -> bool:
    """Answer whether the variable says yes. Raises ImproperlyConfigured for any other word."""
    typed = os.environ.get(name)
    if typed is None:
        return default
    if typed.strip().lower() in YES:
        return True
    if typed.strip().lower() in NO:
        return False
    raise ImproperlyConfigured(f"{name} is {typed!r}; write 1 for yes or 0 for no.")


def whole_number(name: str, *, default: int, least: int, most: int) -> int:
    """Return the variable as a whole number. Raises ImproperlyConfigured outside least to most."""
    typed = os.environ.get(name, "").strip()
    if not typed:
        return default
    if not typed.isdecimal() or not least <= int(typed) <= most:
        raise ImproperlyConfigured(f"{name} is {typed!r}; write a whole number from {least} to {most}.")
    return int(typed)


def one_of(name: str, accepted: tuple[str, ...], *, default: str) -> str:
    """Return the variable, one of a few words. Raises ImproperlyConfigured for any other."""
    typed = os.environ.get(name, "").strip().lower() or default
    if typed not in accepted:
        raise ImproperlyConfigured(f"{name} is {typed!r}; write {' or '.join(accepted)}.")
    return typed


def words(name: str, *, default: tuple[str, ...] = ()) -> list[str]:
    """Return the words of a list separated by commas; the default where the variable is absent or blank."""
    found = [word.strip() for word in os.environ.get(name, "").split(",") if word.strip()]
    return found or list(default)


def hosts(name: str) -> list[str]:
    """Return the host names that people type; those of this computer where none is given.

    Raises ImproperlyConfigured for a star: links in mails are made of the name that a request says
    """
    found = words(name, default=LOOPBACK)
    if "*" in found:
        raise ImproperlyConfigured(f"{name} is *, any name; write the host names that people type.")
    return found


def origins(name: str) -> list[str]:
    """Return web origins such as https://spoolbook.yard.example. Raises ImproperlyConfigured without a scheme."""
    found = words(name)
    for origin in found:
        if not origin.startswith(("https://", "http://")):
            raise ImproperlyConfigured(f"{name} has {origin!r}; an origin begins with https://.")
    return found


def folder(name: str, *, default: Path) -> Path:
    """Return a folder that exists, made where absent. Raises ImproperlyConfigured where it can't be made."""
    path = Path(os.environ.get(name) or default).expanduser().resolve()
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise ImproperlyConfigured(f"{name} is {str(path)!r}, which can't be made: {fault.strerror}.") from fault
    return path


def only_here(hosts: list[str]) -> bool:
    """Answer whether the host names reach no further than this computer."""
    return all(host in LOOPBACK for host in hosts)


def secret_key(*, production: bool, data_dir: Path) -> str:
    """Return SECRET_KEY; on a site for this computer alone a key is made once and kept in the data folder.

    Raises ImproperlyConfigured in production for a key that is absent or shorter than 50 characters.
    """
    key = os.environ.get("SECRET_KEY", "")
    if key and (len(key) >= 50 or not production):
        return key
    if production:
        raise ImproperlyConfigured("SECRET_KEY is absent or shorter than 50 characters; give a long random one.")
    return _own_key(data_dir / "secret_key")


def _own_key(path: Path) -> str:
    """Two processes may start at once: the first to create the file decides, and both read it."""
    made = path.with_suffix(f".{os.getpid()}")
    if not path.exists():
        made.touch(mode=0o600)
        made.write_text(secrets.token_urlsafe(64))
        try:
            os.link(made, path)
        except FileExistsError:
            pass
        finally:
            made.unlink()
    return path.read_text().strip()
