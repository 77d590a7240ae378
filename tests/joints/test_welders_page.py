"""The register of welders: ranges in words, what lapses when, and what it costs."""

from datetime import date
from uuid import UUID

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspection.actions.record_examinations import record_examinations
from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.record_passes import record_passes
from joints.queries.lapsing import lapsing
from joints.queries.welders import ALIVE, LAPSED, SOON, STOPPED, standing_of, welder_page, welders_page
from records.models import ContinuityEntry, Examination, FitUp, Job, Joint, Pass, Stamp, User
from records.models.base import new_id
from rules.facts import QualificationFacts
from tests.builders import QualificationBuilder, StampBuilder, WelderBuilder, days_ago

pytestmark = pytest.mark.django_db
NOON = "2026-06-10T12:00:00Z"


def qualification(status: str = "active", status_on: date | None = None) -> QualificationFacts:
    return QualificationFacts(
        "Q1", "GTAW", date(2026, 1, 1), "1", "6", ("6G",), "pipe", None, 6, status=status, status_on=status_on
    )  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("ends", "standing", "words"),
    [
        (date(2026, 8, 1), ALIVE, "until 1 Aug 2026"),
        (date(2026, 7, 10), SOON, "lapses 10 Jul 2026, in 30 days"),
        (date(2026, 6, 11), SOON, "lapses 11 Jun 2026, in 1 day"),
        (date(2026, 6, 10), LAPSED, "lapsed 10 Jun 2026"),
        (None, LAPSED, "no use on record"),
    ],
)
def test_says_how_a_qualification_stands(ends: date | None, standing: str, words: str) -> None:
    assert standing_of(qualification(), ends, date(2026, 6, 10)) == (standing, words)


def test_a_suspension_says_since_when() -> None:
    found = standing_of(qualification("suspended", date(2026, 5, 2)), date(2026, 8, 1), date(2026, 6, 10))
    assert found == (STOPPED, "suspended since 2 May 2026")


@time_machine.travel(NOON, tick=False)
def test_lists_what_lapses_within_thirty_days_by_its_last_use(job: Job, stamp: Stamp) -> None:
    """Last used on 20 December, six months on is 20 June: ASME IX QW-322.1(a)."""
    stamp.qualifications.update(tested_on=date(2025, 12, 20))
    [one] = lapsing(job, within_days=30)
    assert (one.stamp, one.process, one.lapses_on, one.days) == ("A1", "GTAW", date(2026, 6, 20), 10)
    assert lapsing(job, within_days=9) == ()
    ContinuityEntry.objects.create(job=job, stamp=stamp, process="GTAW", used_on=date(2026, 6, 1))
    assert lapsing(job, within_days=30) == ()


@time_machine.travel(NOON, tick=False)
def test_what_lapsed_already_does_not_lapse_again(job: Job, stamp: Stamp) -> None:
    """Tested on 1 May, it lapsed on 1 November; the use of 20 December revives nothing (QW-322.2)."""
    stamp.qualifications.update(tested_on=date(2025, 5, 1))
    ContinuityEntry.objects.create(job=job, stamp=stamp, process="GTAW", used_on=date(2025, 12, 20))
    assert lapsing(job, within_days=30) == ()


def test_pages_the_register_and_searches_it(job: Job, stamp: Stamp, unqualified_stamp: Stamp) -> None:
    assert [row.stamp for row, _ in welders_page(job).rows] == ["A1", "B2"]
    assert [row.stamp for row, _ in welders_page(job, search="krantz").rows] == ["B2"]
    assert [row.stamp for row, _ in welders_page(job, after=stamp.id).rows] == ["B2"]


def test_shows_the_range_in_words_and_who_has_none(
    job: Job, stamp: Stamp, unqualified_stamp: Stamp, foreman: User, sign_in
) -> None:
    shown = sign_in(foreman).get(reverse("welders", args=[job.code])).content.decode()
    assert "<b>GTAW</b>" in shown and "pipe from 1 in" in shown and "deposit to 1/2 in" in shown
    assert "no qualification on record" in shown


def test_counts_joints_welded_and_welds_examined_and_rejected(
    job: Job, joint: Joint, stamp: Stamp, foreman: User, inspector: User
) -> None:
    common = {"joint": joint, "attempt": "0"}
    record_fit_ups([FitUp(id=new_id(), done_on=days_ago(3), by="A1", **common)], job=job, by=foreman)
    record_passes(
        [
            Pass(id=new_id(), done_on=days_ago(2), order=order, role=role, stamp=stamp, process=process, **common)
            for order, role, process in ((1, "root", "GTAW"), (2, "fill", "SMAW"), (3, "cap", "SMAW"))
        ],
        job=job,
        by=foreman,
    )
    record_examinations(
        [
            Examination(id=new_id(), done_on=days_ago(1), by="Ines Carrow", method=method, result=result, **common)
            for method, result in (("VT", "accepted"), ("RT", "rejected"))
        ],
        job=job,
        by=inspector,
    )
    page = welder_page(stamp)
    assert (page.joints, page.examined, page.rejected) == (1, 1, 1)
    # By hand, Wilson (1927) for 1 of 1: from 1 / (1 + 3.8415) = 0.2065 to 1.
    told = "1 of 1, 95 %: 21 % to 100 %"
    assert page.rejects == (("all processes", told), ("GTAW", told), ("SMAW", told))
    assert [rejects for _, rejects in welders_page(job).rows] == [told]


def test_shows_one_welder_with_the_source_of_each_range(job: Job, stamp: Stamp, owner: User, sign_in) -> None:
    shown = sign_in(owner).get(reverse("welder", args=[job.code, stamp.id])).content.decode()
    for words in ("QW-452.3", "QW-461.9", "QW-423.1", "QW-433", "QW-322.1(a)", "Arne Lindqvist"):
        assert words in shown, words


def test_a_welder_of_another_job_does_not_exist(job: Job, stamp: Stamp, visitor: User, foreman: User, sign_in) -> None:
    assert sign_in(visitor).get(reverse("welder", args=[job.code, stamp.id])).status_code == 404
    assert sign_in(foreman).get(reverse("welder", args=[job.code, UUID(int=1)])).status_code == 404


def test_asks_as_often_of_forty_welders_as_of_two(job: Job, foreman: User, sign_in) -> None:
    person = sign_in(foreman)
    counts = []
    for welders in (2, 38):
        for _ in range(welders):
            QualificationBuilder(stamp=StampBuilder(welder=WelderBuilder(job=job)), tested_on=days_ago(170))
        with CaptureQueriesContext(connection) as asked:
            assert person.get(reverse("welders", args=[job.code])).status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1]


def _two_that_lapse(job: Job, stamp: Stamp) -> None:
    """A1 on 20 June; A10 (Zora) on 1 August and A2 (Bo) on 5 July 2026, six months after their tests."""
    stamp.qualifications.update(tested_on=date(2025, 12, 20))
    for code, name, tested in (("A10", "Zora Quill", date(2026, 2, 1)), ("A2", "Bo Aldous", date(2026, 1, 5))):
        one = StampBuilder(welder=WelderBuilder(job=job, name=name), code=code, employer=f"{name} Ltd")
        QualificationBuilder(stamp=one, process="SMAW", tested_on=tested)


@time_machine.travel(NOON, tick=False)
@pytest.mark.parametrize(
    ("within", "order", "stamps"),
    [
        ("30", "day", ["A1", "A2"]),
        ("60", "day", ["A1", "A2", "A10"]),
        ("60", "stamp", ["A1", "A2", "A10"]),
        ("60", "process", ["A1", "A2", "A10"]),
        ("90", "employer", ["A2", "A10", "A1"]),
        ("9999", "nonsense", ["A1", "A2"]),
    ],
)
def test_the_lapsing_list_goes_as_far_and_in_the_order_asked_for(
    job: Job, stamp: Stamp, client: Client, foreman: User, within: str, order: str, stamps: list[str]
) -> None:
    _two_that_lapse(job, stamp)
    Stamp.objects.filter(code="A1").update(employer="zz")
    client.force_login(foreman)
    page = client.get(reverse("lapsing", args=[job.code]), {"within": within, "order": order})
    assert [one.stamp for one in page.context["rows"]] == stamps
    [first] = [one for one in page.context["rows"] if one.stamp == "A2"]
    assert (first.used_on, first.lapses_on, first.days) == (date(2026, 1, 5), date(2026, 7, 5), 25)
    asked = {"within": within, "order": order}
    lines = client.get(reverse("lapsing-csv", args=[job.code]), asked).getvalue().decode("utf-8-sig").splitlines()
    assert lines[0] == "stamp,name,employer,process,last used,lapses,days"
    assert [line.split(",")[0] for line in lines[1:]] == stamps


@time_machine.travel(NOON, tick=False)
def test_nothing_lapsing_says_so_and_the_start_page_leads_there(job: Job, client: Client, foreman: User) -> None:
    client.force_login(foreman)
    assert "None lapses within 90 days" in client.get(reverse("lapsing", args=[job.code]), {"within": "90"}).text
    assert reverse("lapsing", args=[job.code]) in client.get(reverse("job", args=[job.code])).text


@time_machine.travel(date(2026, 3, 1), tick=False)
def test_where_nothing_lapses_soon_the_next_to_lapse_is_named(
    job: Job, stamp: Stamp, client: Client, foreman: User
) -> None:
    _two_that_lapse(job, stamp)
    client.force_login(foreman)
    page = client.get(reverse("lapsing", args=[job.code]), {"within": "30"}).text
    assert "The next is GTAW of" in page and "<b>20 Jun 2026</b>, in 111 days" in page
    stamp.qualifications.update(status="suspended")
    QualificationBuilder._meta.model.objects.update(status="suspended")
    assert "No process of a welder is alive" in client.get(reverse("lapsing", args=[job.code])).text
