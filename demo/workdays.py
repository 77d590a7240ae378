"""Working days of the demonstration: Monday to Friday, with the times at which things were done."""

from datetime import date, datetime, time, timedelta

_SATURDAY = 5


def workday(start: date, days: int) -> date:
    """The working day so many working days after `start` (before, if negative)."""
    day, step = start, 1 if days >= 0 else -1
    for _ in range(abs(days)):
        day += timedelta(days=step)
        while day.weekday() >= _SATURDAY:
            day += timedelta(days=step)
    return day


def moment(day: date, minutes: int) -> datetime:
    """The time so many minutes after seven in the morning of `day`."""
    return datetime.combine(day, time(7, 0)) + timedelta(minutes=minutes)
