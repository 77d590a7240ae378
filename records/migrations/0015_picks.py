"""Picks: which joints were chosen for a share, by whom and how."""

import django.db.models.deletion
import records.models.base
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('records', '0014_joints_by_due'),
    ]

    operations = [
        migrations.CreateModel(
            name='Pick',
            fields=[
                ('id', models.UUIDField(default=records.models.base.new_id, editable=False, primary_key=True, serialize=False)),
                ('recorded_at', models.DateTimeField()),
                ('device_at', models.DateTimeField(blank=True, null=True)),
                ('reason', models.TextField(blank=True, default='')),
                ('attempt', models.CharField(default='0', help_text='0 original, R1 first repair, W1 first re-weld', max_length=6)),
                ('done_on', models.DateField(help_text="The day it was done, in the job's time zone")),
                ('done_at', models.DateTimeField(blank=True, help_text='The time, where it was given', null=True)),
                ('by', models.CharField(blank=True, default='', help_text='Name or stamp of whoever did it', max_length=120)),
                ('method', models.CharField(max_length=12)),
                ('stage', models.CharField(blank=True, default='final', max_length=40)),
                ('purpose', models.CharField(default='sample', max_length=6)),
                ('how', models.CharField(max_length=7)),
                ('lot', models.CharField(blank=True, default='', help_text='The lot as it was named at the pick', max_length=200)),
                ('draw', models.CharField(blank=True, default='', help_text='What a random draw can be repeated from', max_length=200)),
                ('remark', models.TextField(blank=True, default='')),
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
        migrations.AddConstraint(
            model_name='withdrawal',
            constraint=models.CheckConstraint(condition=models.Q(('kind__in', ['joint', 'fitup', 'pass', 'examination', 'repairdecision', 'release', 'override', 'assignment', 'pick', 'pieceevent', 'spoolstep', 'lotmove'])), name='withdrawal_kind_known'),
        ),
        migrations.AddConstraint(
            model_name='withdrawal',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('joint__isnull', True), ('kind__in', ('pieceevent', 'spoolstep', 'lotmove'))), models.Q(('joint__isnull', False), ('kind__in', ('joint', 'fitup', 'pass', 'examination', 'repairdecision', 'release', 'override', 'assignment', 'pick'))), _connector='OR'), name='withdrawal_on_a_joint_or_in_the_shop'),
        ),
        migrations.AddField(
            model_name='pick',
            name='job',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='records.job'),
        ),
        migrations.AddField(
            model_name='pick',
            name='joint',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='%(class)ss', to='records.joint'),
        ),
        migrations.AddField(
            model_name='pick',
            name='recorded_by',
            field=models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='pick',
            name='replaces',
            field=models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='replaced_by', to='records.pick'),
        ),
        migrations.AddConstraint(
            model_name='pick',
            constraint=models.CheckConstraint(condition=models.Q(('purpose__in', ['sample', 'extra'])), name='pick_purpose_known'),
        ),
        migrations.AddConstraint(
            model_name='pick',
            constraint=models.CheckConstraint(condition=models.Q(('how__in', ['random', 'by hand'])), name='pick_how_known'),
        ),
    ]
