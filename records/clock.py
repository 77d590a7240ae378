"""The day and the time on a job's site."""

from datetime import date, datetime
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.utils import timezone

from records.models import Job


def zone_of(job: Job) -> ZoneInfo:
    """Return the job's time zone; UTC where this computer knows none of its name, which pages then say."""
    return _known_zone(job) or ZoneInfo("UTC")


def has_unknown_zone(job: Job) -> bool:
    """Say whether this computer knows no time zone of the job's name, so that times are told in UTC."""
    return _known_zone(job) is None


def _known_zone(job: Job) -> ZoneInfo | None:
    try:
        return ZoneInfo(job.time_zone)
    except (ZoneInfoNotFoundError, ValueError, OSError):  # an empty name is a folder to it
        return None


def today_on(job: Job) -> date:
    """Return today's date on the job's site."""
    return timezone.localdate(timezone=zone_of(job))


def local_time(job: Job, moment: datetime) -> datetime:
    """Return a moment as the clock on the job's site shows it."""
    return moment.astimezone(zone_of(job))
