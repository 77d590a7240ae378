"""The welding of a job week by week: planned, done, and to come as the last weeks went."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal

from django.db.models import Count, QuerySet

from joints.queries.tally import inches_of
from records.clock import today_on
from records.models import Job, Joint
from reports.progress_curve import CurveData, CurvePoint, Picture, curve
from rules.forecast import LEAST_WEEKS, LONGEST, METHOD, Forecast, forecast
from rules.forecast import MOST_WEEKS as MOST_DRAWN
from rules.planned import planned_by

UNIT = "diameter-inches"
# The curve reaches so many weeks back and ahead of today at most; what lies further counts in its first week.
MOST_WEEKS = 156
# So many weeks before and after the present one stand in the table of the page.
SHOWN_BEFORE, SHOWN_AFTER = 8, 6
_WEEK = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Week:
    """One week, Monday to Sunday; quantities in diameter-inches, cumulative unless `joints` or `inches`.

    planned         None where no line has planned days
    joints, inches  welded in the week, `so_far` in all; None for a week to come
    low, high       between which eight of ten runs of the forecast lie at its end, None for a week gone by
    """

    monday: date
    planned: float | None
    joints: int | None
    inches: float | None
    so_far: float | None
    low: float | None = None
    likely: float | None = None
    high: float | None = None

    @property
    def sunday(self) -> date:
        """Its last day."""
        return self.monday + timedelta(days=6)


@dataclass(frozen=True, slots=True)
class Weeks:
    """All weeks of a job, what stands at today, and when the rest is likely to be done.

    planned_today  what the plan has done by today; None where no line has planned days
    without_plan   joints of lines without planned days
    whole_weeks    how many weeks have passed since the first weld, the present one left out
    early, likely, late   the Sundays by which a tenth, a half and nine tenths of the runs are done
    """

    weeks: tuple[Week, ...]
    today: date
    whole: float
    welded: float
    planned_today: float | None
    planned_finish: date | None
    without_plan: int
    whole_weeks: int
    forecast: Forecast | None
    early: date | None
    likely: date | None
    late: date | None

    @property
    def near(self) -> tuple[Week, ...]:
        """The weeks around the present one, for a table beside the curve."""
        monday = _monday(self.today)
        first, last = monday - SHOWN_BEFORE * _WEEK, monday + SHOWN_AFTER * _WEEK
        return tuple(one for one in self.weeks if first <= one.monday <= last)

    @property
    def behind(self) -> float | None:
        """How much less is welded than planned; below nothing where more is."""
        return None if self.planned_today is None else self.planned_today - self.welded

    @property
    def told(self) -> tuple[str, ...]:
        """What the curve says, how it was reckoned, and what it leaves out; a sentence each."""
        return tuple(part for part in (self._standing(), self._ending(), *self._reckoned()) if part)

    def _standing(self) -> str:
        told = f"Welded {tenths(self.welded)} of {tenths(self.whole)} {UNIT}"
        if self.behind is None or self.planned_today is None:
            return f"{told}."
        side = "behind" if self.behind > 0 else "ahead of"
        return (
            f"{told}; the plan has {tenths(self.planned_today)} by today: {tenths(abs(self.behind))} {side} the plan."
        )

    def _ending(self) -> str:
        if self.whole and self.welded >= self.whole:
            return "Every joint is welded."
        if self.forecast is None:
            return self._no_forecast()
        told = f"If coming weeks are like the last {self.forecast.of}, the rest is welded "
        if self.likely is None:
            return f"{told}in more than {LONGEST} weeks."
        by = f"by {_day(self.late)}" if self.late else f"in more than {LONGEST} weeks"
        return f"{told}by {_day(self.likely)}; one run in ten is done by {_day(self.early)}, nine in ten {by}."

    def _no_forecast(self) -> str:
        if self.whole_weeks == 0:
            return (
                f"No forecast yet: it takes {LEAST_WEEKS} whole weeks of welding, and none was welded before this week."
            )
        if self.whole_weeks < LEAST_WEEKS:
            since = f"since the first weld {'one has' if self.whole_weeks == 1 else f'{self.whole_weeks} have'} passed"
            return f"No forecast yet: it takes {LEAST_WEEKS} whole weeks, and {since}."
        return f"No forecast: nothing was welded in the last {MOST_DRAWN} whole weeks."

    def _reckoned(self) -> Iterator[str]:
        if self.planned_today is not None:
            yield "Planned: the diameter-inches of each line, spread evenly over its days from planned start to finish."
        if self.without_plan:
            count = f"{self.without_plan:,} {'joint is' if self.without_plan == 1 else 'joints are'}"
            yield f"{count} on lines without planned days, and not in the curve; the workbook’s sheet Lines takes them."
        yield "Welded: each joint on the day of its present attempt; one that waits for its repair is still to weld."
        if self.forecast is not None:
            yield f"To come: {METHOD}"

    @property
    def title(self) -> str:
        """What the curve says, in words."""
        parts = [f"{UNIT} week by week", f"welded {self.welded:,.0f} of {self.whole:,.0f}"]
        if self.planned_today is not None:
            parts.append(f"planned by today {self.planned_today:,.0f}")
        if self.likely:
            parts.append(f"done by {self.likely.isoformat()} if coming weeks are like the last")
        return ", ".join(parts)

    def picture(self, *, wide: float = 760.0, high: float = 340.0) -> Picture | None:
        """Draw the curve; None where nothing is planned by day and nothing welded."""
        if not self.weeks:
            return None
        points = tuple(
            CurvePoint(one.sunday, one.planned, one.so_far, one.low, one.likely, one.high) for one in self.weeks
        )
        return curve(CurveData(points, self.whole, UNIT, self.today), self.title, wide=wide, high=high)


def tenths(inches: float) -> str:
    """Diameter-inches to a tenth, halves up, as the page's own figures are rounded."""
    return f"{Decimal(repr(inches)).quantize(Decimal('0.1'), ROUND_HALF_UP):,}"


def weeks_of(job: Job, of: QuerySet[Joint] | None = None) -> Weeks:
    """Return the weeks of a job; two queries, whose rows do not grow with the joints.

    of   which joints count; all of the job where left out
    """
    today = today_on(job)
    counted = (Joint.objects.filter(job=job) if of is None else of).exclude(state="withdrawn").order_by()
    parts, whole, without = _planned(counted)
    joints, inches = _welded(counted)
    welded = sum(inches.values())
    this = _monday(today)
    before = sum(found for monday, found in inches.items() if monday < this)
    gone_by = _whole_weeks(inches, this)
    ahead = forecast(whole - before, gone_by) if whole > welded else None
    mondays = _mondays(today, parts, inches, ahead)
    planned = planned_by(parts, [one + timedelta(days=6) for one in mondays]) if parts else []
    rows = []
    so_far = sum(found for monday, found in inches.items() if mondays and monday < mondays[0])
    for place, monday in enumerate(mondays):
        gone = monday <= this
        so_far += inches.get(monday, 0.0)
        come = (monday - this).days // 7
        fan = ahead.ahead[come] if ahead and 0 <= come < len(ahead.ahead) else None
        rows.append(
            Week(
                monday,
                planned[place] if parts else None,
                joints.get(monday, 0) if gone else None,
                inches.get(monday, 0.0) if gone else None,
                so_far if gone else None,
                *((max(welded, before + one) for one in (fan.low, fan.likely, fan.high)) if fan else ()),
            )
        )
    ends = [this + n * _WEEK - timedelta(days=1) if n else None for n in _ends(ahead)]
    return Weeks(
        weeks=tuple(rows),
        today=today,
        whole=whole,
        welded=welded,
        planned_today=planned_by(parts, [today])[0] if parts else None,
        planned_finish=max((max(one, other) for one, other, _ in parts), default=None),
        without_plan=without,
        whole_weeks=len(gone_by),
        forecast=ahead,
        early=ends[0],
        likely=ends[1],
        late=ends[2],
    )


def _ends(ahead: Forecast | None) -> tuple[int | None, int | None, int | None]:
    return (ahead.early, ahead.likely, ahead.late) if ahead else (None, None, None)


def _planned(counted: QuerySet[Joint]) -> tuple[list[tuple[date, date, float]], float, int]:
    """The quantities by their planned days, all of them together, and the joints without days; one query.

    A line with one day alone is planned on that day.
    """
    windows: dict[tuple[date, date], float] = defaultdict(float)
    whole, without = 0.0, 0
    rows = counted.values_list("line__planned_start", "line__planned_finish", "nps").annotate(count=Count("id"))
    for start, finish, nps, count in rows:
        inches = float(inches_of(nps, count))
        whole += inches
        if start or finish:
            windows[start or finish, finish or start] += inches
        else:
            without += count
    return [(*window, inches) for window, inches in windows.items()], whole, without


def _welded(counted: QuerySet[Joint]) -> tuple[dict[date, int], dict[date, float]]:
    """The joints and diameter-inches by the Monday of the week in which they were welded; one query.

    A joint counts on the day its present attempt was welded: one that waits for its repair is to be welded again.
    """
    joints: dict[date, int] = defaultdict(int)
    inches: dict[date, float] = defaultdict(float)
    welded = counted.filter(welded_on__isnull=False)
    for day, nps, count in welded.values_list("welded_on", "nps").annotate(count=Count("id")):
        joints[_monday(day)] += count
        inches[_monday(day)] += float(inches_of(nps, count))
    return joints, inches


def _whole_weeks(inches: dict[date, float], this: date) -> list[float]:
    """What each whole week welded, idle ones included, from the first with any to the last before this one."""
    gone = [monday for monday in inches if monday < this]
    if not gone:
        return []
    first = max(min(gone), this - MOST_WEEKS * _WEEK)
    return [inches.get(first + n * _WEEK, 0.0) for n in range((this - first).days // 7)]


def _mondays(
    today: date, parts: list[tuple[date, date, float]], inches: dict[date, float], ahead: Forecast | None
) -> list[date]:
    """The weeks from the first that is planned or welded to the last that is planned, welded or to come."""
    this = _monday(today)
    days = [_monday(day) for window in parts for day in window[:2]] + list(inches)
    if not days:
        return []
    first = max(min(days), this - MOST_WEEKS * _WEEK)
    last = max(*days, this, this + (len(ahead.ahead) - 1) * _WEEK if ahead else this)
    last = min(last, this + MOST_WEEKS * _WEEK)
    return [first + n * _WEEK for n in range((last - first).days // 7 + 1)]


def _day(day: date | None) -> str:
    return day.isoformat() if day else ""


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())
