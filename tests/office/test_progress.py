"""Progress: the weeks against the plan, the welders, the lines, and the paper of it."""

from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from joints.queries.tally import tally
from office.queries.progress import line_words, progress
from office.queries.progress_weeks import weeks_of
from office.queries.progress_welders import welders_of
from records.clock import today_on
from records.models import Job, Joint, Line
from records.templatetags.spoolbook import day
from tests.builders import StampBuilder, WelderBuilder
from tests.many import many_joints
from tests.reports.papers import texts

pytestmark = pytest.mark.django_db
INCHES = 1.5  # each joint of `many_joints`


@pytest.fixture
def monday(job: Job) -> date:
    today = today_on(job)
    return today - timedelta(days=today.weekday())


def _weld(joints: list[Joint], day: date, stamps: str = "A1") -> None:
    Joint.objects.filter(id__in=[one.id for one in joints]).update(welded_on=day, stamps=stamps, state="welded")


def test_weeks_add_up_by_hand(job: Job, monday: date) -> None:
    """20 joints of 1-1/2: 4 welded a week for 3 weeks leave 8, two weeks more; planned evenly over 10 weeks."""
    joints = many_joints(job, 20)
    Joint.objects.update(welded_on=None, state="planned")
    Line.objects.update(planned_start=monday - timedelta(days=21), planned_finish=monday + timedelta(days=48))
    for week in (1, 2, 3):
        _weld(joints[4 * week - 4 : 4 * week], monday - timedelta(days=7 * week - 2))
    found = weeks_of(job)
    gone = [one for one in found.weeks if one.monday < monday]
    assert [one.inches for one in gone] == [4 * INCHES] * 3
    assert [one.so_far for one in gone] == [6, 12, 18]
    # 30 diameter-inches over 70 days: 3 at the end of each week.
    assert [one.planned for one in gone] == pytest.approx([3, 6, 9])
    assert (found.whole, found.welded, found.without_plan) == (30, 18, 0)
    assert found.planned_today == pytest.approx(9 + 3 / 7 * ((found.today - monday).days + 1))
    # Every week alike: 12 are left, 6 a week, so this week and the next.
    assert found.early == found.likely == found.late == monday + timedelta(days=13)
    this, following = (one for one in found.weeks if one.low is not None)
    assert (this.low, this.likely, this.high, following.likely) == (24, 24, 24, 30)
    assert any("ahead of the plan" in one for one in found.told)


@pytest.mark.parametrize(
    ("weeks_ago", "says"),
    [
        (0, "takes 3 whole weeks of welding, and none was welded before this week."),
        (1, "takes 3 whole weeks, and since the first weld one has passed."),
        (2, "takes 3 whole weeks, and since the first weld 2 have passed."),
        (14, "No forecast: nothing was welded in the last 12 whole weeks."),
    ],
)
def test_a_forecast_that_can_not_be_made_says_what_is_missing(
    job: Job, monday: date, weeks_ago: int, says: str
) -> None:
    joints = many_joints(job, 4)
    Joint.objects.update(welded_on=None, state="planned")
    _weld(joints[:1], monday - timedelta(days=7 * weeks_ago))
    assert any(words.endswith(says) for words in weeks_of(job).told)


def test_a_joint_that_waits_for_its_repair_and_one_withdrawn_count_as_not_welded(job: Job, monday: date) -> None:
    joints = many_joints(job, 4)
    Joint.objects.update(welded_on=None, state="planned")
    _weld(joints[:3], monday - timedelta(days=3))
    Joint.objects.filter(id=joints[0].id).update(welded_on=None, attempt="R1", state="planned")
    Joint.objects.filter(id=joints[1].id).update(state="withdrawn")
    found = weeks_of(job)
    assert (found.whole, found.welded) == (3 * INCHES, INCHES)


def test_days_far_away_do_not_make_the_curve_longer_than_it_can_be_read(job: Job, monday: date) -> None:
    joints = many_joints(job, 3)
    Joint.objects.update(welded_on=None, state="planned")
    _weld(joints[:1], date(1995, 5, 5))
    Line.objects.update(planned_start=date(1990, 1, 1), planned_finish=date(2199, 1, 1))
    found = weeks_of(job)
    assert len(found.weeks) == 2 * 156 + 1
    assert found.weeks[0].so_far == INCHES and found.picture() is not None


def test_nothing_planned_by_day_and_nothing_welded_has_no_curve(job: Job, client: Client, foreman) -> None:
    many_joints(job, 3)
    Joint.objects.update(welded_on=None, state="planned", stamps="")
    client.force_login(foreman)
    page = client.get(reverse("progress", args=[job.code])).content.decode()
    assert "Nothing is planned by day yet" in page and "No joint is welded yet" in page
    assert weeks_of(job).picture() is None


def test_the_diameter_inches_of_a_joint_are_shared_by_its_welders(job: Job, monday: date) -> None:
    joints = many_joints(job, 4)
    Joint.objects.update(welded_on=None, state="planned", stamps="")
    stamp = StampBuilder(welder=WelderBuilder(job=job, name="Ada Quarrie"), code="A1")
    today = today_on(job)
    _weld(joints[:2], today, "A1")
    _weld(joints[2:3], today - timedelta(days=28), "A1, B2")
    _weld(joints[3:], today, "B2, C3, A1")
    found = {one.stamp: (one.joints, float(one.inches), float(one.lately), one.name) for one in welders_of(job)}
    assert found == {
        "A1": (4, 3 + 0.75 + 0.5, 3.5, "Ada Quarrie"),
        "B2": (2, 0.75 + 0.5, 0.5, ""),
        "C3": (1, 0.5, 0.5, ""),
    }
    assert next(one.id for one in welders_of(job) if one.stamp == "A1") == stamp.id


@pytest.mark.parametrize(
    ("start", "finish", "welded", "told"),
    [
        (None, None, 0, ("", "not planned by day")),
        (date(2026, 1, 1), date(2026, 1, 10), 4, ("1 Jan 2026 to 10 Jan 2026", "welded")),
        (date(2026, 1, 1), date(2026, 1, 2), 2, ("1 Jan 2026 to 2 Jan 2026", "late: 3 dia-in still to weld")),
        (date(2026, 1, 1), date(2026, 1, 10), 1, ("1 Jan 2026 to 10 Jan 2026", "1.5 dia-in behind")),
        (date(2026, 1, 1), date(2026, 1, 10), 3, ("1 Jan 2026 to 10 Jan 2026", "1.5 dia-in ahead")),
        (date(2026, 2, 1), None, 0, ("1 Feb 2026", "not begun, as planned")),
    ],
)
def test_a_line_is_told_against_its_own_days(job: Job, start, finish, welded: int, told: tuple[str, str]) -> None:
    """4 joints, 6 diameter-inches, on 5 January: half of ten days, so 3 are planned."""
    joints = many_joints(job, 4)
    Joint.objects.update(welded_on=None, state="planned")
    _weld(joints[:welded], date(2026, 1, 3))
    assert line_words(start, finish, tally(Joint.objects.filter(job=job)), date(2026, 1, 5)) == told


def test_the_page_shows_the_curve_with_words_and_a_table(job: Job, client: Client, foreman, monday: date) -> None:
    joints = many_joints(job, 20)
    Line.objects.update(planned_start=monday - timedelta(days=21), planned_finish=monday + timedelta(days=48))
    for week in (1, 2, 3):
        _weld(joints[4 * week - 4 : 4 * week], monday - timedelta(days=7 * week - 2))
    client.force_login(foreman)
    page = client.get(reverse("progress", args=[job.code])).content.decode()
    assert page.count('role="img"') >= 3 and "<title>diameter-inches week by week, welded 18 of 30" in page
    assert "drawn at random from the last whole weeks" in page
    assert 'data-label="8 of 10 runs"' in page
    assert f"the rest is welded by {day(monday + timedelta(days=13))};" in page


def test_the_paper_says_what_the_page_says(job: Job, client: Client, foreman, monday: date) -> None:
    joints = many_joints(job, 20, per_line=10)
    Line.objects.update(planned_start=monday - timedelta(days=21), planned_finish=monday + timedelta(days=48))
    for week in (1, 2, 3):
        _weld(joints[4 * week - 4 : 4 * week], monday - timedelta(days=7 * week - 2))
    client.force_login(foreman)
    answer = client.get(reverse("paper-pdf", args=[job.code, "progress"]))
    said = " ".join(texts(answer.content))
    assert "Welded 18.0 of 30.0 diameter-inches" in said.replace("\n", " ")
    # Papers write days as ISO 8601 has them.
    assert f"the rest is welded by {monday + timedelta(days=13)};" in said.replace("\n", " ")
    for line in Line.objects.all():
        assert line.number in said
    page = client.get(reverse("paper", args=[job.code, "progress"])).content.decode()
    assert "<svg" in page and "By welder" in page


def test_queries_do_not_grow_with_the_joints(job: Job, django_assert_num_queries) -> None:
    many_joints(job, 300)
    with django_assert_num_queries(7):
        progress(job)
