"""Many rows at once arrive as they were, by COPY too."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.db import IntegrityError, connection, models, transaction

from records import bulk
from records.meanwhile import unhurried
from records.models import MASTERS, FitUp, Heat, Joint, Sheet
from records.models.base import new_id
from tests.records.scene import Scene, open_job, plan

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
@pytest.mark.parametrize("sign", NASTY)
def test_one_odd_text_among_plain_ones_arrives_as_it_was(sign: str) -> None:
    job, _ = open_job()
    rows = [Heat(job=job, number=f"H{place}", material=sign if place == MANY - 7 else "A106") for place in range(MANY)]
    bulk.insert(rows)
    assert [row.number for row in Heat.objects.exclude(material="A106")] == [f"H{MANY - 7}"]
    assert Heat.objects.get(number=f"H{MANY - 7}").material == sign


@pytest.mark.django_db
def test_columns_of_many_rows_are_set_by_their_keys() -> None:
    joints = _joints(plan(*open_job(), joints=2))
    bulk.update(
        Joint, ("stamps", "welded_on", "is_stale"), [(row.pk, "K7, \\N", date(2026, 9, 1), True) for row in joints]
    )
    changed = Joint.objects.filter(stamps="K7, \\N", welded_on=date(2026, 9, 1), is_stale=True)
    assert changed.count() == MANY


@pytest.mark.django_db
def test_many_rows_are_changed_by_the_time_they_are_next_asked_for() -> None:
    joints = _joints(plan(*open_job(), joints=2))
    with unhurried():
        bulk.update(Joint, ("stamps",), [(row.pk, "K7") for row in joints])
        done = sum(range(1000))
        assert (done, Joint.objects.filter(stamps="K7").count()) == (499_500, MANY)


@pytest.mark.django_db
def test_rows_are_copied_after_what_was_set_to_work() -> None:
    joints = _joints(plan(*open_job(), joints=2))
    with unhurried():
        bulk.update(Joint, ("stamps",), [(row.pk, "K7") for row in joints])
        bulk.insert([Heat(job=joints[0].job, number=f"new {place}") for place in range(MANY)])
        bulk.update(Joint, ("stamps",), [(row.pk, "K8") for row in joints])
    assert Joint.objects.filter(stamps="K8").count() == MANY
    assert Heat.objects.filter(number__startswith="new").count() == MANY


@pytest.mark.django_db
def test_what_goes_wrong_with_the_rows_is_raised_at_the_end_of_the_block() -> None:
    joints = _joints(plan(*open_job(), joints=2))
    with pytest.raises(IntegrityError), transaction.atomic(), unhurried():
        bulk.update(Joint, ("state",), [(row.pk, "lost") for row in joints])
    assert not Joint.objects.filter(state="lost").exists()


@pytest.mark.django_db
@pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite writes at once")
def test_a_key_that_is_taken_is_told_with_the_next_statement() -> None:
    job, _ = open_job()
    rows = [Heat(job=job, number=f"H{place}") for place in range(MANY)]
    bulk.insert(rows)
    with unhurried():
        with pytest.raises(IntegrityError), transaction.atomic():
            bulk.insert(rows)
            Heat.objects.count()
        assert Heat.objects.filter(job=job).count() == MANY


@pytest.mark.django_db
def test_nothing_goes_on_after_a_block_that_failed() -> None:
    job, _ = open_job()
    rows = [Heat(job=job, number=f"H{place}") for place in range(MANY)]
    with pytest.raises(IntegrityError), transaction.atomic(), unhurried():
        for some in (rows, rows, [Heat(job=job, number=f"late {place}") for place in range(MANY)]):
            bulk.insert(some)
    assert not Heat.objects.filter(job=job).exists()


@pytest.mark.django_db
def test_a_fault_of_the_caller_is_told_rather_than_what_follows_from_it() -> None:
    joints = _joints(plan(*open_job(), joints=2))
    with pytest.raises(ZeroDivisionError), transaction.atomic(), unhurried():
        bulk.update(Joint, ("stamps",), [(row.pk, "K7") for row in joints])
        print(1 / 0)
    assert not Joint.objects.filter(stamps="K7").exists()


@pytest.mark.django_db
@pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite checks references when the transaction ends")
def test_a_row_that_refers_to_nothing_is_found_with_the_next_statement() -> None:
    job, _ = open_job()
    with pytest.raises(IntegrityError, match="is not present"), transaction.atomic(), unhurried():
        bulk.insert([Heat(job=job, number=f"H{place}", certificate_id=new_id()) for place in range(MANY)])
        bulk.check_references(MANY)
        Heat.objects.count()
    assert not Heat.objects.filter(number="H7").exists()


def test_each_model_of_the_plan_comes_after_those_it_refers_to() -> None:
    for place, model in enumerate(MASTERS):
        for field in model._meta.concrete_fields:
            if isinstance(field, models.ForeignKey) and field.related_model in MASTERS:
                assert MASTERS.index(field.related_model) < place, f"{model.__name__}.{field.name}"


def _joints(scene: Scene) -> list[Joint]:
    sheet = Sheet.objects.get()
    joints = [
        Joint(
            job=scene.job, sheet=sheet, line=sheet.line, number=str(place), sort_key=str(place), kind="butt",
            location="shop", nps="2", schedule="40", od_mm=60, wall_mm=4,
        )
        for place in range(10, 10 + MANY)
    ]  # fmt: skip
    bulk.insert(joints)
    return joints
