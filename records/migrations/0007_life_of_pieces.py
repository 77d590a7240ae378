"""Events of pieces, steps of spools and moves of filler lots, and the states that follow from them."""

import django.db.models.deletion
import records.models.base
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('records', '0006_confirmation_demanded'),
    ]

    operations = [
        migrations.CreateModel(
            name='LotMove',
            fields=[
                ('id', models.UUIDField(default=records.models.base.new_id, editable=False, primary_key=True, serialize=False)),
                ('recorded_at', models.DateTimeField()),
                ('device_at', models.DateTimeField(blank=True, null=True)),
                ('reason', models.TextField(blank=True, default='')),
                ('done_on', models.DateField(help_text="The day it was done, in the job's time zone")),
                ('done_at', models.DateTimeField(blank=True, help_text='The time, where it was given', null=True)),
                ('by', models.CharField(blank=True, default='', help_text='Name or stamp of whoever did it', max_length=120)),
                ('place', models.CharField(blank=True, default='', help_text='Where it was done, or lies now', max_length=80)),
                ('remark', models.TextField(blank=True, default='')),
                ('move', models.CharField(max_length=8)),
                ('quantity', models.DecimalField(blank=True, decimal_places=4, max_digits=13, null=True)),
                ('unit', models.CharField(blank=True, default='', max_length=6)),
                ('oven', models.CharField(blank=True, default='', help_text='The holding oven it came from or went to', max_length=40)),
                ('typed', models.JSONField(blank=True, default=dict)),
            ],
        ),
        migrations.CreateModel(
            name='PieceEvent',
            fields=[
                ('id', models.UUIDField(default=records.models.base.new_id, editable=False, primary_key=True, serialize=False)),
                ('recorded_at', models.DateTimeField()),
                ('device_at', models.DateTimeField(blank=True, null=True)),
                ('reason', models.TextField(blank=True, default='')),
                ('done_on', models.DateField(help_text="The day it was done, in the job's time zone")),
                ('done_at', models.DateTimeField(blank=True, help_text='The time, where it was given', null=True)),
                ('by', models.CharField(blank=True, default='', help_text='Name or stamp of whoever did it', max_length=120)),
                ('place', models.CharField(blank=True, default='', help_text='Where it was done, or lies now', max_length=80)),
                ('remark', models.TextField(blank=True, default='')),
                ('event', models.CharField(max_length=12)),
                ('mark_transferred', models.BooleanField(blank=True, help_text='Whether the part carries the heat number', null=True)),
                ('mark_by', models.CharField(blank=True, default='', help_text='Who transferred the mark', max_length=120)),
                ('length_mm', models.DecimalField(blank=True, decimal_places=6, help_text='Of the part, or of what went back to stock', max_digits=13, null=True)),
                ('typed', models.JSONField(blank=True, default=dict)),
            ],
        ),
        migrations.CreateModel(
            name='SpoolStep',
            fields=[
                ('id', models.UUIDField(default=records.models.base.new_id, editable=False, primary_key=True, serialize=False)),
                ('recorded_at', models.DateTimeField()),
                ('device_at', models.DateTimeField(blank=True, null=True)),
                ('reason', models.TextField(blank=True, default='')),
                ('done_on', models.DateField(help_text="The day it was done, in the job's time zone")),
                ('done_at', models.DateTimeField(blank=True, help_text='The time, where it was given', null=True)),
                ('by', models.CharField(blank=True, default='', help_text='Name or stamp of whoever did it', max_length=120)),
                ('place', models.CharField(blank=True, default='', help_text='Where it was done, or lies now', max_length=80)),
                ('remark', models.TextField(blank=True, default='')),
                ('step', models.CharField(max_length=20)),
                ('result', models.CharField(blank=True, default='', help_text='Of a dimensional check', max_length=8)),
            ],
        ),
        migrations.RemoveConstraint(
            model_name='withdrawal',
            name='withdrawal_kind_known',
        ),
        migrations.AddField(
            model_name='piece',
            name='last_on',
            field=models.DateField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='piece',
            name='place',
            field=models.CharField(blank=True, default='', help_text='Where it was last', max_length=80),
        ),
        migrations.AddField(
            model_name='piece',
            name='sort_key',
            field=models.CharField(blank=True, default='', help_text='Drawing, sheet and mark, to sort', max_length=200),
        ),
        migrations.AddField(
            model_name='piece',
            name='state',
            field=models.CharField(default='planned', max_length=12),
        ),
        migrations.AddField(
            model_name='spool',
            name='last_on',
            field=models.DateField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='spool',
            name='place',
            field=models.CharField(blank=True, default='', help_text='Where it was last', max_length=80),
        ),
        migrations.AddField(
            model_name='spool',
            name='sort_key',
            field=models.CharField(blank=True, default='', help_text='Line and mark, to sort', max_length=200),
        ),
        migrations.AddField(
            model_name='spool',
            name='state',
            field=models.CharField(default='in fabrication', max_length=16),
        ),
        migrations.AlterField(
            model_name='withdrawal',
            name='joint',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='withdrawals', to='records.joint'),
        ),
        migrations.AddIndex(
            model_name='piece',
            index=models.Index(fields=['job', 'sort_key'], name='piece_by_mark'),
        ),
        migrations.AddIndex(
            model_name='piece',
            index=models.Index(fields=['job', 'state', 'sort_key'], name='piece_by_state'),
        ),
        migrations.AddIndex(
            model_name='spool',
            index=models.Index(fields=['job', 'sort_key'], name='spool_by_mark'),
        ),
        migrations.AddIndex(
            model_name='spool',
            index=models.Index(fields=['job', 'state', 'sort_key'], name='spool_by_state'),
        ),
        migrations.AddConstraint(
            model_name='piece',
            constraint=models.CheckConstraint(condition=models.Q(('state__in', ['planned', 'in stock', 'issued', 'cut to size', 'cut up', 'on hold', 'split', 'scrapped'])), name='piece_state_known'),
        ),
        migrations.AddConstraint(
            model_name='spool',
            constraint=models.CheckConstraint(condition=models.Q(('state__in', ['in fabrication', 'checked', 'check rejected', 'cleaned', 'coated', 'released', 'shipped', 'received', 'erected'])), name='spool_state_known'),
        ),
        migrations.AddConstraint(
            model_name='withdrawal',
            constraint=models.CheckConstraint(condition=models.Q(('kind__in', ['joint', 'fitup', 'pass', 'examination', 'repairdecision', 'release', 'override', 'assignment', 'pieceevent', 'spoolstep', 'lotmove'])), name='withdrawal_kind_known'),
        ),
        migrations.AddConstraint(
            model_name='withdrawal',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('joint__isnull', True), ('kind__in', ('pieceevent', 'spoolstep', 'lotmove'))), models.Q(('joint__isnull', False), ('kind__in', ('joint', 'fitup', 'pass', 'examination', 'repairdecision', 'release', 'override', 'assignment'))), _connector='OR'), name='withdrawal_on_a_joint_or_in_the_shop'),
        ),
        migrations.AddField(
            model_name='lotmove',
            name='job',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='records.job'),
        ),
        migrations.AddField(
            model_name='lotmove',
            name='lot',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='moves', to='records.fillerlot'),
        ),
        migrations.AddField(
            model_name='lotmove',
            name='recorded_by',
            field=models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='lotmove',
            name='replaces',
            field=models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='replaced_by', to='records.lotmove'),
        ),
        migrations.AddField(
            model_name='lotmove',
            name='stamp',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='lot_moves', to='records.stamp'),
        ),
        migrations.AddField(
            model_name='pieceevent',
            name='job',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='records.job'),
        ),
        migrations.AddField(
            model_name='pieceevent',
            name='part',
            field=models.ForeignKey(blank=True, help_text='What a cut or a split made of the piece', null=True, on_delete=django.db.models.deletion.PROTECT, related_name='made_by', to='records.piece'),
        ),
        migrations.AddField(
            model_name='pieceevent',
            name='piece',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='events', to='records.piece'),
        ),
        migrations.AddField(
            model_name='pieceevent',
            name='recorded_by',
            field=models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='pieceevent',
            name='replaces',
            field=models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='replaced_by', to='records.pieceevent'),
        ),
        migrations.AddField(
            model_name='spoolstep',
            name='job',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='records.job'),
        ),
        migrations.AddField(
            model_name='spoolstep',
            name='recorded_by',
            field=models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='spoolstep',
            name='replaces',
            field=models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='replaced_by', to='records.spoolstep'),
        ),
        migrations.AddField(
            model_name='spoolstep',
            name='spool',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='steps', to='records.spool'),
        ),
        migrations.AddConstraint(
            model_name='lotmove',
            constraint=models.CheckConstraint(condition=models.Q(('move__in', ['issued', 'returned'])), name='lot_move_known'),
        ),
        migrations.AddConstraint(
            model_name='lotmove',
            constraint=models.CheckConstraint(condition=models.Q(('unit__in', ['kg', 'pieces', ''])), name='lot_move_unit_known'),
        ),
        migrations.AddConstraint(
            model_name='lotmove',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('quantity__isnull', True), ('unit', '')), models.Q(('quantity__gt', 0), models.Q(('unit', ''), _negated=True)), _connector='OR'), name='lot_move_quantity_has_unit'),
        ),
        migrations.AddIndex(
            model_name='pieceevent',
            index=models.Index(fields=['job', 'event'], name='piece_event_by_kind'),
        ),
        migrations.AddConstraint(
            model_name='pieceevent',
            constraint=models.CheckConstraint(condition=models.Q(('event__in', ['received', 'on hold', 'off hold', 'issued', 'cut', 'returned', 'scrapped', 'split'])), name='piece_event_known'),
        ),
        migrations.AddConstraint(
            model_name='pieceevent',
            constraint=models.CheckConstraint(condition=models.Q(('part__isnull', True), models.Q(('event__in', ('cut', 'split')), models.Q(('part', models.F('piece')), _negated=True)), _connector='OR'), name='piece_event_part_of_a_cut'),
        ),
        migrations.AddConstraint(
            model_name='spoolstep',
            constraint=models.CheckConstraint(condition=models.Q(('step__in', ['dimensional check', 'cleaned', 'coated', 'released', 'shipped', 'received', 'erected'])), name='spool_step_known'),
        ),
        migrations.AddConstraint(
            model_name='spoolstep',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('step', 'dimensional check'), ('result__in', ('accepted', 'rejected'))), models.Q(models.Q(('step', 'dimensional check'), _negated=True), ('result', '')), _connector='OR'), name='spool_step_result_of_a_check'),
        ),
    ]
