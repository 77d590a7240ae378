"""Remove the files that were sent in to be read and that nobody applied, some weeks later."""

from datetime import datetime, timedelta
from pathlib import PurePath
from uuid import UUID

from django.core.files.storage import default_storage

from office.actions.sent_file import FOLDER
from office.queries.imports import APPLY
from records.models import Work

KEPT = timedelta(days=30)


def forget_uploads(now: datetime) -> int:
    """Remove uploads, and the lists that their checks wrote, which are older than KEPT; returns how many files.

    What was applied stays. The row of a check stays too: whoever would apply it then is asked to send the file again.
    One query where something is old, none else.
    """
    old = [name for name in _kept() if now - default_storage.get_modified_time(name) > KEPT]
    if not old:
        return 0
    applied = Work.objects.filter(kind=APPLY).exclude(state="failed")
    pairs = list(applied.values_list("arguments__file", "arguments__check"))
    files, checks = {file for file, _ in pairs}, {_hex(check) for _, check in pairs}
    unused = [name for name in old if name not in files and PurePath(name).name.partition("-")[0] not in checks]
    for name in unused:
        default_storage.delete(name)
    return len(unused)


def _kept() -> list[str]:
    try:
        return [f"{FOLDER}/{name}" for name in default_storage.listdir(FOLDER)[1]]
    except FileNotFoundError:
        return []


def _hex(check: str) -> str:
    """The id of a check as the names of its lists begin with it; as it is where it is none."""
    try:
        return UUID(check).hex
    except ValueError:
        return check
