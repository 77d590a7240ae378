"""The journal holds a package's manifest by its sum too."""

from django.db import migrations, models


class Migration(migrations.Migration):
    """Packages of before have none: their manifest is only looked for."""

    dependencies = [("records", "0001_everything_known")]

    operations = [
        migrations.AddField(
            model_name="package",
            name="manifest_sha256",
            field=models.CharField(blank=True, default="", max_length=64),
        ),
    ]
