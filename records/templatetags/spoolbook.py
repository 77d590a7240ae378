"""What templates say in the trade's way: the ring, quantities in the job's units, people, days, the way round a job."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from functools import lru_cache
from typing import Any
from urllib.parse import urlencode

from django import template
from django.http import HttpRequest
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from records.clock import has_unknown_zone, local_time, today_on
from records.confirmed import Confirmed
from records.models import Job, Joint, User
from records.models.job import ROLES
from reports.data import Ring
from reports.ring import ring_svg, ring_words
from rules.codes import finding_called as of_finding
from rules.dial import clock_of
from rules.fitting_words import fitting_called as of_fitting
from rules.size_words import show_pipe_size, show_size
from rules.tables import called
from rules.tables import column_called as of_column
from rules.tables import state_called as of_state
from rules.units import plain, shown

register = template.Library()
# A day that stands by itself, not as a part of a number of a drawing or a report.
_ISO_DAY = re.compile(r"(?<![\w/.-])\d{4}-\d\d-\d\d(?![\w/-])")
_BEFORE_PERCENT = re.compile(r"(?<=\d) (?=%)")
# Label, route, the verb it takes to be of use (a page that everybody may read needs "read"), and its group. What has no
# group stands in the row itself; a group of which a person has use for one page shows that page.
PLACES = (
    ("Start", "job", "read", ""),
    ("Weld log", "weld-log", "read", ""),
    ("To examine", "examination-queue", "examine", ""),
    ("Hold points", "hold-points", "read", ""),
    ("Findings", "findings", "read", ""),
    ("Lots", "lots", "read", ""),
    ("Progress", "progress", "read", ""),
    ("Welders", "welders", "read", "Welding"),
    ("Lapsing", "lapsing", "read", "Welding"),
    ("Procedures", "procedures", "read", "Welding"),
    ("Filler", "filler-lots", "read", "Welding"),
    ("Heats", "heats", "read", "Material"),
    ("Pieces", "pieces", "read", "Material"),
    ("Spools", "spools", "read", "Material"),
    ("Papers", "papers", "read", "Papers"),
    ("Packages", "packages", "read", "Papers"),
    ("Import", "imports", "plan", "Job"),
    ("Specification", "specification", "plan", "Job"),
    ("Tables", "tables", "confirm", "Job"),
    ("People", "people", "manage people", "Job"),
    ("Settings", "job-settings", "plan", "Job"),
    ("Calculators", "calculators", "read", ""),
)
# Pages outside a job that keep it in mind.
OUTSIDE = frozenset({"calculators"})


@dataclass(frozen=True, slots=True)
class Place:
    """One page on the way round a job, with the link to it."""

    label: str
    link: SafeString
    is_here: bool


@dataclass(frozen=True, slots=True)
class PlaceGroup:
    """Links that stand together under a word; without a word the one link stands by itself."""

    label: str
    places: tuple[Place, ...]

    @property
    def is_here(self) -> bool:
        """Whether the page that is shown is one of them."""
        return any(place.is_here for place in self.places)


@register.simple_tag
def ring(joint: Joint, size: int = 24, words: str = "") -> SafeString:
    """Draw a joint's mark.

    words  what a screen reader says, the state if left out; "-" where the state stands beside it in words
    """
    mark = Ring(joint.state, joint.progress / 100, joint.attempts - 1)
    drawn = ring_svg(mark.state, mark.progress, mark.attempt_count, size, title=words or ring_words(mark))
    if words == "-":
        drawn = drawn.replace('role="img"', 'aria-hidden="true"').replace("<title>-</title>", "")
    # ring_svg escapes its title; nothing else in it was written by a person.
    return mark_safe(drawn)


@register.filter
def drawing(svg: str) -> SafeString:
    """A drawing of `reports`, whose pens escape every word that a person wrote."""
    return mark_safe(svg)


@register.filter
def as_length(mm: Decimal | None, job: Job) -> str:
    """A length in the job's units: 1/8 in, 3.2 mm; nothing where it is not known."""
    return "" if mm is None else shown(mm, "mm", job.units)


@register.filter
def size(nps: str, job: Job) -> str:
    """A nominal size as the job names it: NPS 2, or DN 50."""
    return show_size(nps, job.units)


@register.filter
def pipe_size(one: Any, job: Job) -> str:
    """The size and schedule of a joint, a line or a length of pipe: NPS 2 Sch 80, DN 50 Sch 80."""
    return show_pipe_size(one.nps, one.schedule, job.units)


@register.filter
def temperature(celsius: Decimal | None, job: Job) -> str:
    """A temperature in the job's units."""
    return "" if celsius is None else shown(celsius, "°C", job.units)


@register.filter
def travel(mm_min: Decimal | None, job: Job) -> str:
    """A travel speed in the job's units."""
    return "" if mm_min is None else shown(mm_min, "mm/min", job.units)


@register.filter
def figure(value: Decimal | None) -> str:
    """A figure without trailing zeros."""
    return "" if value is None else plain(value)


@register.filter
def amps(row: Any) -> str:
    """The amperes that a procedure gives a pass, as 90–130; nothing where it gives none."""
    least, greatest = figure(row.amps_min), figure(row.amps_max)
    if least and greatest:
        return f"{least}–{greatest}"
    return f"{least} or more" if least else f"{greatest} or less" if greatest else ""


@register.filter
def clock(degrees: Decimal | None) -> str:
    """A place on the pipe as a clock face shows it: 0 degrees is 12, 135 is 4:30."""
    if degrees is None:
        return ""
    return clock_of(degrees)


@register.filter
def on_site(moment: datetime, job: Job) -> datetime:
    """A moment as the clock on the job's site shows it; without a zone, else `date` would put it into the server's."""
    return local_time(job, moment).replace(tzinfo=None)


@register.filter
def day(value: date | None) -> str:
    """A day as a title block has it: 4 Nov 2026."""
    return f"{value.day} {value:%b %Y}" if value else ""


@register.filter
def written(sentence: str) -> str:
    """A sentence of the rules as the pages write it: its days by the month's name, a number and its % on one line."""
    named = _ISO_DAY.sub(lambda found: day(_day_of(found[0])) or found[0], str(sentence))
    return kept_together(named)


@register.filter
def kept_together(text: str) -> str:
    """A text in which no line ends between a number and its %."""
    return _BEFORE_PERCENT.sub("\N{NO-BREAK SPACE}", str(text))


def _day_of(written: str) -> date | None:
    try:
        return date.fromisoformat(written)
    except ValueError:
        return None


@register.filter
def days_to(value: date | None, today: date) -> str:
    """How long ago a day was: 1 day, 70 days; nothing where it is not known."""
    return "" if value is None else "today" if value == today else plural((today - value).days, "day ago,days ago")


@register.filter
def with_confirmation(source: str, told: str) -> str:
    """A source with who confirmed its table: "ASME B31.3-2018 Table 341.3.2 · unconfirmed"."""
    return kept_together(f"{source} · {told}" if told else source)


@register.filter
def confirmation(tables: Iterable[Sequence[str]], confirmed: Confirmed) -> str:
    """Who confirmed the tables that a finding's limit comes from."""
    return confirmed.words(tables)


@register.filter
def finding_called(code: str) -> str:
    """A finding's name, as it is read."""
    return of_finding(code)


@register.filter
def fitting_called(kind: str) -> str:
    """The words for a kind of piece."""
    return of_fitting(kind)


@register.filter
def table_called(name: str) -> str:
    """A table's name, as it is read."""
    return called(name)


@register.filter
def state_called(state: str) -> str:
    """How far a table was checked, as it is read."""
    return of_state(state)


@register.filter
def column_called(name: str) -> str:
    """The name of a table's column, as it is read."""
    return of_column(name)


@register.filter
def plural(count: int, words: str) -> str:
    """A count with its noun: {{ 1|plural:"joint,joints" }} is "1 joint"."""
    one, many = words.split(",")
    return f"{count:,} {one if count == 1 else many}"


@register.filter
def beside(fault: str, label: str) -> str:
    """What is wrong with a field, where the field's name stands before it already."""
    return fault.removeprefix(f"{label}: ")


@register.filter
def person(user: Any) -> str:
    """The name of whoever signed in; the sign-in name where nothing better is known."""
    return user.get_full_name() or user.get_username()


@register.filter
def roles(held: Iterable[str]) -> str:
    """Roles in the order in which the trade ranks them: "foreman, inspector"."""
    return ", ".join(role for role in ROLES if role in held)


@register.inclusion_tag("records/_navigation.html", takes_context=True)
def navigation(context: template.Context) -> dict[str, Any]:
    """List the pages of the job that this person has use for, those of a kind together."""
    groups = _groups(context["request"])
    here = next((place.label for group in groups for place in group.places if place.is_here), "")
    return {"groups": groups, "here": here}


def _groups(request: HttpRequest) -> list[PlaceGroup]:
    gathered: dict[str, list[Place]] = {}
    for label, route, verb, group in PLACES:
        if verb in request.verbs:  # type: ignore[attr-defined]
            gathered.setdefault(group or label, []).append(_place(request, label, route))
    return [PlaceGroup(label if len(places) > 1 else "", tuple(places)) for label, places in gathered.items()]


def _place(request: HttpRequest, label: str, route: str) -> Place:
    code = request.job.code  # type: ignore[attr-defined]
    if route in OUTSIDE:
        path = reverse(route)
        address, is_here = f"{path}?{urlencode({'job': code})}", request.path.startswith(path)
    else:
        address = _address(route, code)
        is_here = request.path == address
    link = '<a href="{}" aria-current="page">{}</a>' if is_here else '<a href="{}">{}</a>'
    return Place(label, format_html(link, address, label), is_here)


@lru_cache(maxsize=2048)
def _address(route: str, code: str) -> str:
    """Where a page of a job is, worked out once: each page of the job links to twenty others."""
    return reverse(route, args=[code])


@register.inclusion_tag("records/_title_block.html", takes_context=True)
def title_block(context: template.Context) -> dict[str, Any]:
    """Close a page as a drawing is closed, with its title block."""
    request = context.get("request")
    job: Job | None = getattr(request, "job", None)
    user: User | None = context.get("user")
    if job is None:
        return {"job": None, "user": user, "today": timezone.localdate()}
    units = "inch, °F, psi" if job.units == "US" else "mm, °C, kPa"
    return {"job": job, "user": user, "today": today_on(job), "units": units, "in_utc": has_unknown_zone(job)}
