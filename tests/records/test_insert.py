"""A record sent again is one record; another under the same id is refused."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal
from uuid import UUID

import pytest
from django.db import connection

from joints.actions.record_fit_ups import record_fit_ups
from records.models import FitUp, JournalEntry
from records.models.base import new_id
from records.refusals import Implausible, NotAllowed, RecordClash
from records.verify import first_bad
from tests.records.scene import DAY, Scene, open_job, plan

pytestmark = pytest.mark.usefixtures("own_database")
GAP = Decimal("1.5875")
# A stock PostgreSQL takes 100 connections in all; the site's own workers take a few each.
CONNECTIONS = 40


@pytest.fixture
def scene() -> Scene:
    return plan(*open_job())


def fit_up(scene: Scene, key: UUID, gap: Decimal = GAP, joint: str = "1") -> list[FitUp]:
    draft = FitUp(id=key, joint=scene.joints[joint], done_on=DAY, by="K7", gap_mm=gap)
    return record_fit_ups([draft], job=scene.job, by=scene.engineer)


def side_by_side(number: int, deed: Callable[[int], object]) -> list[BaseException]:
    """Run a deed in many threads at once, dropping what it answers; return what was raised."""

    def run(index: int) -> None:
        try:
            deed(index)
        finally:
            connection.close()

    with ThreadPoolExecutor(min(number, CONNECTIONS)) as pool:
        futures = [pool.submit(run, index) for index in range(number)]
    return [raised for future in futures if (raised := future.exception())]


def test_twice_equals_once(scene: Scene) -> None:
    key = new_id()
    first, second = fit_up(scene, key), fit_up(scene, key)
    assert first[0].recorded_at == second[0].recorded_at
    assert FitUp.objects.count() == 1
    assert JournalEntry.objects.filter(kind="fitup").count() == 1


def test_refuses_other_content_under_a_used_id(scene: Scene) -> None:
    key = new_id()
    fit_up(scene, key)
    with pytest.raises(RecordClash, match="gap mm differs"):
        fit_up(scene, key, Decimal(3))
    assert FitUp.objects.get().gap_mm == GAP


def test_says_nothing_of_what_another_job_holds_under_an_id(scene: Scene) -> None:
    other, key = plan(*open_job("J-2")), new_id()
    fit_up(other, key)
    for gap in (GAP, Decimal(3)):
        with pytest.raises(RecordClash) as clash:
            fit_up(scene, key, gap)
        assert "taken" in clash.value.message and "differs" not in clash.value.message


def test_one_record_sent_100_times_side_by_side_is_one_row_and_one_entry(scene: Scene) -> None:
    key = new_id()
    assert side_by_side(100, lambda _: fit_up(scene, key)) == []
    assert FitUp.objects.count() == 1
    assert JournalEntry.objects.filter(kind="fitup").count() == 1
    assert first_bad(scene.job) is None


def test_many_records_side_by_side_leave_a_journal_without_gaps_and_a_true_state(scene: Scene) -> None:
    keys = [new_id() for _ in range(24)]
    assert side_by_side(24, lambda index: fit_up(scene, keys[index], joint=str(index % 6 + 1))) == []
    assert FitUp.objects.count() == 24
    assert first_bad(scene.job) is None
    assert set(scene.joints["1"].sheet.joints.values_list("state", flat=True)) == {"fitted"}


def test_refuses_a_day_in_the_future_and_writes_nothing(scene: Scene) -> None:
    draft = FitUp(joint=scene.joints["1"], done_on=DAY.replace(year=2099), gap_mm=GAP)
    with pytest.raises(Implausible, match="in the future"):
        record_fit_ups([draft], job=scene.job, by=scene.engineer)
    assert not FitUp.objects.exists()


def test_refuses_a_joint_of_another_job(scene: Scene) -> None:
    other = plan(*open_job("J-2"))
    draft = FitUp(joint=other.joints["1"], done_on=DAY, gap_mm=GAP)
    with pytest.raises(Implausible, match="does not exist on this job"):
        record_fit_ups([draft], job=scene.job, by=scene.engineer)


def test_refuses_somebody_without_a_role(scene: Scene) -> None:
    other = plan(*open_job("J-2"))
    draft = FitUp(joint=scene.joints["1"], done_on=DAY, gap_mm=GAP)
    with pytest.raises(NotAllowed, match="welder, foreman, inspector or engineer may"):
        record_fit_ups([draft], job=scene.job, by=other.engineer)


def test_a_correction_replaces_and_needs_a_reason(scene: Scene) -> None:
    [wrong] = fit_up(scene, new_id(), Decimal(5))
    scene.joints["1"].refresh_from_db()
    assert scene.joints["1"].corrects == 1
    right = FitUp(joint=scene.joints["1"], done_on=DAY, gap_mm=GAP, replaces=wrong)
    with pytest.raises(Implausible, match="needs its reason"):
        record_fit_ups([right], job=scene.job, by=scene.engineer)
    right.reason = "read the wrong side of the gauge"
    record_fit_ups([right], job=scene.job, by=scene.engineer)
    scene.joints["1"].refresh_from_db()
    assert scene.joints["1"].corrects == 0


def test_refuses_a_second_correction_of_one_record(scene: Scene) -> None:
    [wrong] = fit_up(scene, new_id(), Decimal(5))
    for_good = [FitUp(joint=scene.joints["1"], done_on=DAY, gap_mm=GAP, replaces=wrong, reason="misread") for _ in "ab"]
    record_fit_ups(for_good[:1], job=scene.job, by=scene.engineer)
    with pytest.raises(RecordClash, match="already corrected"):
        record_fit_ups(for_good[1:], job=scene.job, by=scene.engineer)


def test_refuses_a_text_longer_than_its_column_by_a_sentence(scene: Scene) -> None:
    draft = FitUp(joint=scene.joints["1"], done_on=DAY, gap_mm=GAP, by="K" * 121)
    with pytest.raises(Implausible, match="by is longer than 120 characters"):
        record_fit_ups([draft], job=scene.job, by=scene.engineer)
    assert not FitUp.objects.exists()
