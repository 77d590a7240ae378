"""Hold and witness points, what the owner's inspector did about them, and how many of a joint wait."""

import django.db.models.deletion
import records.models.base
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('records', '0021_order_of_findings'),
    ]

    operations = [
        migrations.CreateModel(
            name='Attendance',
            fields=[
                ('id', models.UUIDField(default=records.models.base.new_id, editable=False, primary_key=True, serialize=False)),
                ('recorded_at', models.DateTimeField()),
                ('device_at', models.DateTimeField(blank=True, null=True)),
                ('reason', models.TextField(blank=True, default='')),
                ('attempt', models.CharField(default='0', help_text='0 original, R1 first repair, W1 first re-weld', max_length=6)),
                ('done_on', models.DateField(help_text="The day it was done, in the job's time zone")),
                ('done_at', models.DateTimeField(blank=True, help_text='The time, where it was given', null=True)),
                ('by', models.CharField(blank=True, default='', help_text='Name or stamp of whoever did it', max_length=120)),
                ('result', models.CharField(max_length=8)),
                ('remark', models.TextField(blank=True, default='')),
            ],
        ),
        migrations.CreateModel(
            name='HoldPoint',
            fields=[
                ('id', models.UUIDField(default=records.models.base.new_id, editable=False, primary_key=True, serialize=False)),
                ('name', models.CharField(help_text='Its item in the inspection and test plan, for example 4.2', max_length=40)),
                ('step', models.CharField(help_text='fit-up, root, an examination method, or release', max_length=12)),
                ('kind', models.CharField(max_length=7)),
                ('piping_class', models.CharField(blank=True, default='', max_length=40)),
                ('joint_kind', models.CharField(blank=True, default='', max_length=12)),
                ('document', models.CharField(blank=True, default='', help_text='The plan that asks for it', max_length=80)),
                ('in_force', models.BooleanField(default=True)),
            ],
        ),
        migrations.RemoveConstraint(
            model_name='withdrawal',
            name='withdrawal_kind_known',
        ),
        migrations.RemoveConstraint(
            model_name='withdrawal',
            name='withdrawal_on_a_joint_or_in_the_shop',
        ),
        migrations.AddField(
            model_name='joint',
            name='waits',
            field=models.PositiveSmallIntegerField(default=0, help_text="Points that wait for the owner's inspector"),
        ),
        migrations.AddIndex(
            model_name='joint',
            index=models.Index(condition=models.Q(('waits__gt', 0)), fields=['job', 'sort_key'], name='joint_by_waits'),
        ),
        migrations.AddConstraint(
            model_name='withdrawal',
            constraint=models.CheckConstraint(condition=models.Q(('kind__in', ['joint', 'fitup', 'pass', 'examination', 'repairdecision', 'release', 'override', 'assignment', 'pick', 'attendance', 'pieceevent', 'spoolstep', 'lotmove'])), name='withdrawal_kind_known'),
        ),
        migrations.AddConstraint(
            model_name='withdrawal',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('joint__isnull', True), ('kind__in', ('pieceevent', 'spoolstep', 'lotmove'))), models.Q(('joint__isnull', False), ('kind__in', ('joint', 'fitup', 'pass', 'examination', 'repairdecision', 'release', 'override', 'assignment', 'pick', 'attendance'))), _connector='OR'), name='withdrawal_on_a_joint_or_in_the_shop'),
        ),
        migrations.AddField(
            model_name='attendance',
            name='job',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='records.job'),
        ),
        migrations.AddField(
            model_name='attendance',
            name='joint',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='%(class)ss', to='records.joint'),
        ),
        migrations.AddField(
            model_name='attendance',
            name='recorded_by',
            field=models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='attendance',
            name='replaces',
            field=models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='replaced_by', to='records.attendance'),
        ),
        migrations.AddField(
            model_name='holdpoint',
            name='job',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='records.job'),
        ),
        migrations.AddField(
            model_name='holdpoint',
            name='line',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='records.line'),
        ),
        migrations.AddField(
            model_name='attendance',
            name='point',
            field=models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='records.holdpoint'),
        ),
        migrations.AddConstraint(
            model_name='holdpoint',
            constraint=models.UniqueConstraint(fields=('job', 'name'), name='hold_point_once_per_job'),
        ),
        migrations.AddConstraint(
            model_name='holdpoint',
            constraint=models.CheckConstraint(condition=models.Q(('kind__in', ['hold', 'witness'])), name='hold_point_kind_known'),
        ),
        migrations.AddConstraint(
            model_name='attendance',
            constraint=models.CheckConstraint(condition=models.Q(('result__in', ['notified', 'attended', 'waived'])), name='attendance_result_known'),
        ),
    ]
