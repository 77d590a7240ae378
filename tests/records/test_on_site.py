"""Moments on pages: the clock on the job's site, whatever clock the server goes by."""

from datetime import UTC, datetime

from django.template import Context, Template

from records.models import Job


def test_shows_a_moment_as_the_clock_on_the_site_has_it() -> None:
    page = Template("{% load spoolbook %}{% with m=moment|on_site:job %}{{ m|day }}, {{ m|date:'H:i' }}{% endwith %}")
    said = {"moment": datetime(2026, 11, 25, 1, 46, tzinfo=UTC), "job": Job(time_zone="America/Denver")}
    assert page.render(Context(said)) == "24 Nov 2026, 18:46"
