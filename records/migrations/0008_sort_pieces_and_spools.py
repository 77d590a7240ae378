"""Pieces and spools of before get what they are sorted by."""

from typing import Any

from django.db import migrations

from records.sorting import natural_key

BATCH = 2000


def sort(apps: Any, schema_editor: Any) -> None:
    """Give every row its key, in batches."""
    for name, columns in (
        ("Piece", ("sheet__drawing", "sheet__number", "mark")),
        ("Spool", ("line__number", "mark")),
    ):
        model = apps.get_model("records", name)
        rows: list[Any] = []
        for key, *names in model.objects.values_list("id", *columns).iterator(chunk_size=BATCH):
            rows.append(model(id=key, sort_key=natural_key(*names)))
            if len(rows) == BATCH:
                model.objects.bulk_update(rows, ["sort_key"], batch_size=200)
                rows = []
        model.objects.bulk_update(rows, ["sort_key"], batch_size=200)


class Migration(migrations.Migration):
    """Going back leaves the keys where they are."""

    dependencies = [("records", "0007_life_of_pieces")]

    operations = [migrations.RunPython(sort, migrations.RunPython.noop)]
