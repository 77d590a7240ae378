"""The day and the time on a job's site."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.utils import timezone

from records.models import Job


def zone_of(job: Job) -> ZoneInfo:
    """Return the job's time zone."""
    return ZoneInfo(job.time_zone)


def today_on(job: Job) -> date:
    """Return today's date on the job's site."""
    return timezone.localdate(timezone=zone_of(job))


def local_time(job: Job, moment: datetime) -> datetime:
    """Return a moment as the clock on the job's site shows it."""
    return moment.astimezone(zone_of(job))
