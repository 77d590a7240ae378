"""The canonical form is one text, whichever way it is written."""

import pytest
from django.db import models

from records.canonical import canonical, dump, plain, readers
from records.models import MASTERS, RECORDS, FitUp, Job
from tests.records.scene import every_kind, open_job


def _slowly(row: models.Model) -> str:
    said = {name: plain(read(row)) for name, read in readers(type(row))}
    return dump({name: value for name, value in said.items() if not _says_nothing(row, name, value)})


def _says_nothing(row: models.Model, name: str, value: object) -> bool:
    return value in (None, "") and value == row._meta.get_field(name).get_default()  # type: ignore[union-attr]


def test_a_column_left_out_can_have_held_one_value_only() -> None:
    for model in (*MASTERS, *RECORDS, Job):
        for field in model._meta.concrete_fields:
            if isinstance(field, models.CharField | models.TextField):
                assert not field.null, f"{model.__name__}.{field.name} could hold nothing in two ways"


@pytest.mark.django_db
def test_writes_every_kind_of_row_as_the_dump_of_its_plain_values() -> None:
    every_kind()
    for model in (*MASTERS, *RECORDS):
        for row in model._default_manager.all():
            assert canonical(row) == _slowly(row)


@pytest.mark.django_db
def test_writes_quotes_backslashes_and_line_ends_as_json_does() -> None:
    job, _ = open_job()
    job.name = 'A "quoted" \\ name\n\twith ü, \u202e and 50 % \x7f'
    assert canonical(job) == _slowly(job)
    assert Job.objects.get(pk=job.pk).name != job.name


def test_a_draft_without_any_value_has_a_form_too() -> None:
    draft = FitUp()
    assert canonical(draft) == _slowly(draft)
