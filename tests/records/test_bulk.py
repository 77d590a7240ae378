"""Many rows at once arrive as they were, by COPY too."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from records import bulk
from records.models import FitUp, Heat, Joint, Sheet
from tests.records.scene import open_job, plan

NASTY = ("\\N", "tab\there", "line\nend\r", "back\\slash", "\\.", "ünï \u202e", "", "'quoted' \"twice\"")
MANY = bulk.COPY_FROM + 100


@pytest.mark.django_db
def test_texts_arrive_as_they_were_whatever_signs_they_hold() -> None:
    job, _ = open_job()
    rows = [
        Heat(
            job=job,
            number=f"{NASTY[place % len(NASTY)]}{place}",
            material=NASTY[place % len(NASTY)],
            elements={"C": "\\0.2\n"},
        )
        for place in range(MANY)
    ]
    bulk.insert(rows)
    stored = {row.pk: row for row in Heat.objects.filter(job=job)}
    assert len(stored) == MANY
    for row in rows:
        found = stored[row.pk]
        assert (found.number, found.material, found.elements) == (row.number, row.material, row.elements)


@pytest.mark.django_db
def test_figures_days_and_times_arrive_as_they_were() -> None:
    scene = plan(*open_job())
    at = datetime(2026, 9, 14, 8, 30, 0, 250, tzinfo=UTC)
    rows = [
        FitUp(
            job=scene.job, joint=scene.joints["1"], done_on=date(2026, 9, 14), done_at=at, gap_mm=Decimal(place) / 64,
            typed={"gap": f'{place}/64 "'}, recorded_by=scene.engineer, recorded_at=at,
        )
        for place in range(MANY)
    ]  # fmt: skip
    bulk.insert(rows)
    stored = {row.pk: row for row in FitUp.objects.all()}
    for row in rows:
        found = stored[row.pk]
        assert (found.gap_mm, found.done_at, found.typed) == (row.gap_mm, at, row.typed)
        assert found.high_low_mm is None


@pytest.mark.django_db
def test_columns_of_many_rows_are_set_by_their_keys() -> None:
    scene = plan(*open_job(), joints=2)
    sheet = Sheet.objects.get()
    joints = [
        Joint(
            job=scene.job, sheet=sheet, line=sheet.line, number=str(place), sort_key=str(place), kind="butt",
            location="shop", nps="2", schedule="40", od_mm=60, wall_mm=4,
        )
        for place in range(10, 10 + MANY)
    ]  # fmt: skip
    bulk.insert(joints)
    bulk.update(
        Joint, ("stamps", "welded_on", "is_stale"), [(row.pk, "K7, \\N", date(2026, 9, 1), True) for row in joints]
    )
    changed = Joint.objects.filter(stamps="K7, \\N", welded_on=date(2026, 9, 1), is_stale=True)
    assert changed.count() == MANY
