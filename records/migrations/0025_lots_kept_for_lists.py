"""How the sample of each lot stands, and which joints have a place in it; `rebuild_state` fills them for jobs that stand."""

import django.db.models.deletion
import records.models.base
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('records', '0024_open_points_wait_for_the_owner'),
    ]

    operations = [
        migrations.CreateModel(
            name='SampleLot',
            fields=[
                ('id', models.UUIDField(default=records.models.base.new_id, editable=False, primary_key=True, serialize=False)),
                ('name', models.TextField()),
                ('share_percent', models.DecimalField(decimal_places=6, help_text="In percent, as exact as the owner's limits", max_digits=13)),
                ('asked_by', models.TextField(blank=True, default='', help_text="The owner's specification, where it sets the share")),
                ('state', models.CharField(max_length=24)),
                ('sort_key', models.TextField(help_text='What it asks, then plan, method and name, to sort')),
                ('welds', models.PositiveIntegerField(help_text='Welds that count')),
                ('needed', models.PositiveIntegerField()),
                ('counted', models.PositiveIntegerField()),
                ('pending', models.PositiveIntegerField()),
                ('to_pick', models.PositiveIntegerField()),
                ('short', models.PositiveIntegerField()),
                ('extra_due', models.PositiveIntegerField()),
                ('lacking', models.JSONField(default=list, help_text='Stamps of whom nothing is examined')),
                ('steps', models.JSONField(default=list)),
                ('job', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='records.job')),
                ('rule', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='records.examrule')),
            ],
        ),
        migrations.CreateModel(
            name='LotPlace',
            fields=[
                ('id', models.BigAutoField(primary_key=True, serialize=False)),
                ('joint', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='places', to='records.joint')),
                ('lot', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='places', to='records.samplelot')),
            ],
        ),
        migrations.AddIndex(
            model_name='samplelot',
            index=models.Index(fields=['job', 'sort_key'], name='lot_by_what_it_asks'),
        ),
        migrations.AddConstraint(
            model_name='samplelot',
            constraint=models.UniqueConstraint(fields=('rule', 'name', 'share_percent', 'asked_by'), name='lot_once_per_rule'),
        ),
        migrations.AddConstraint(
            model_name='samplelot',
            constraint=models.CheckConstraint(condition=models.Q(('state__in', ['extra examinations due', 'sample short', 'sample complete'])), name='lot_state_known'),
        ),
        migrations.AddConstraint(
            model_name='lotplace',
            constraint=models.UniqueConstraint(fields=('lot', 'joint'), name='place_once_per_lot'),
        ),
    ]
