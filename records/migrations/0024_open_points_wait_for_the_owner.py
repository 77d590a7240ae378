"""An open hold or witness point is acted on by the owner, who attends or waives it."""

from django.db import migrations

CODE = "hold-point-open"


def give(role):
    """Give the findings of open points to a role."""

    def change(apps, schema_editor):
        apps.get_model("records", "Finding").objects.filter(code=CODE).update(owner=role)

    return change


class Migration(migrations.Migration):
    dependencies = [("records", "0023_journal_without_references")]

    operations = [migrations.RunPython(give("owner"), give("inspector"))]
