"""The settings of a job, as its engineer or administrator types them."""

from dataclasses import asdict
from typing import Any

from django import forms

from joints.forms.told_form import ToldForm
from office.actions.change_job import MOST_REPAIRS, JobSettings, settings_of, units_held_by
from office.actions.open_job import NewJob
from records.models import Job
from records.models.job import CERTIFICATES_EDITIONS, RECORDING, WELDERS_EDITIONS
from rules.certificate import REPORTED, ROUNDED
from rules.progressive import IN_ALL, PER_EACH
from rules.units import SI, US

UNITS = ((US, "inch, °F, psi; sizes by NPS"), (SI, "mm, °C, kPa; sizes by DN"))
_ENVELOPES = {US: "40' x 8' x 8' 6\"", SI: "12 m x 2.4 m x 2.6 m"}
_LEVELS = {
    "joint": "joint: stamps of root, fill and cap, day and filler lot",
    "pass": "pass: each pass with its stamp and lot",
    "parameters": "parameters: each pass with amps, volts and travel too",
}


class JobForm(ToldForm):
    """The settings; units stay once joints stand, and the second factor is for whoever manages people."""

    name = forms.CharField(label="Name", max_length=200)
    client = forms.CharField(label="Owner or client", max_length=200, required=False)
    site = forms.CharField(label="Site", max_length=200, required=False)
    units = forms.ChoiceField(label="Units", choices=UNITS, widget=forms.RadioSelect)
    construction_code = forms.CharField(label="Code of construction", max_length=40)
    edition = forms.CharField(
        label="Edition", max_length=40, help_text="Findings name the edition whose figures they used"
    )
    welders_edition = forms.ChoiceField(
        label="Edition of Section IX that welders are judged by",
        required=False,
        choices=[("", "none is named"), *((one, one) for one in WELDERS_EDITIONS)],
    )
    certificates_edition = forms.ChoiceField(
        label="Edition of the material specifications that certificates are held to",
        required=False,
        choices=[("", "none is named, newer"), *((one, one) for one in CERTIFICATES_EDITIONS)],
        help_text="Older: less manganese for carbon, a lower hardness of A105",
    )
    certificates_rounding = forms.ChoiceField(
        label="How a certificate’s values are compared",
        required=False,
        choices=[
            ("", "none is named, rounded"),
            (ROUNDED, "rounded to the last digit of the limit"),
            (REPORTED, "as reported"),
        ],
        help_text="ASTM E29 has both; rounded, carbon of 0.304 % is within 0.30 %",
    )
    first_batch = forms.ChoiceField(
        label="Several rejects in a first sample",
        required=False,
        choices=[
            ("", "none is named, two more for each"),
            (PER_EACH, "two more for each"),
            (IN_ALL, "two more in all"),
        ],
        help_text="ASME B31.3 341.3.4 is written for one; two more for each is the usual reading",
    )
    flanges_edition = forms.ChoiceField(
        label="Edition of ASME B16.5 that flanges are made to",
        required=False,
        choices=[("", "none is named, 2003 and later"), ("2003", "2003 and later"), ("1996", "1996 and earlier")],
        help_text="Routes take the length of flanges from it; with the raised face the two differ by up to 1 mm",
    )
    time_zone = forms.CharField(
        label="Time zone of the site", max_length=64, help_text="For example Europe/Oslo; days and times are the site’s"
    )
    recording = forms.ChoiceField(
        label="How much is recorded", choices=[(one, _LEVELS[one]) for one in RECORDING], widget=forms.RadioSelect
    )
    repairs_max = forms.IntegerField(
        label="Repairs of one joint before it is flagged",
        required=False,
        min_value=0,
        max_value=MOST_REPAIRS,
        help_text="Leave empty to flag none; no code limits it",
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )
    transport_envelope = forms.CharField(
        label="Transport envelope",
        max_length=60,
        required=False,
        help_text="Greatest sides of a spool that can be carried, for example {}; empty for no limit",
    )
    second_factor_demanded = forms.BooleanField(
        label="Second factor", required=False, help_text="Demanded of whoever may write on this job"
    )
    reason = forms.CharField(
        label="Why it changes", max_length=1000, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )

    def __init__(self, data: Any = None, *, job: Job, may_manage_people: bool) -> None:
        super().__init__(data, initial=asdict(settings_of(job)))
        envelope = self.fields["transport_envelope"]
        envelope.help_text = envelope.help_text.format(_ENVELOPES[job.units])
        if why := units_held_by(job):
            self.fields["units"].disabled = True
            self.fields["units"].help_text = f"Fixed: {why}"
        if not may_manage_people:
            self.fields["second_factor_demanded"].disabled = True
            self.fields["second_factor_demanded"].help_text += "; an administrator sets it"

    def wanted(self) -> JobSettings:
        """The settings that this form says."""
        return JobSettings(**{name: value for name, value in self.cleaned_data.items() if name != "reason"})


class NewJobForm(ToldForm):
    """What a job begins with; the unit system, code, zone and client of the job beside it are offered again."""

    code = forms.CharField(
        label="Code", max_length=40, help_text="Stands in addresses and on every paper, for example HW-7"
    )
    name = forms.CharField(label="Name", max_length=200)
    client = forms.CharField(label="Owner or client", max_length=200, required=False)
    site = forms.CharField(label="Site", max_length=200, required=False)
    units = forms.ChoiceField(
        label="Units", choices=UNITS, widget=forms.RadioSelect, help_text="Fixed as soon as the first joint stands"
    )
    construction_code = forms.CharField(label="Code of construction", max_length=40)
    edition = forms.CharField(
        label="Edition", max_length=40, help_text="Findings name the edition whose figures they used"
    )
    time_zone = forms.CharField(
        label="Time zone of the site", max_length=64, help_text="For example Europe/Oslo; days and times are the site’s"
    )
    recording = forms.ChoiceField(
        label="How much is recorded", choices=[(one, _LEVELS[one]) for one in RECORDING], widget=forms.RadioSelect
    )

    def __init__(self, data: Any = None, *, beside: Job) -> None:
        offered = ("client", "units", "construction_code", "edition", "time_zone", "recording")
        super().__init__(data, initial={name: getattr(beside, name) for name in offered})

    def draft(self) -> NewJob:
        """The job that this form says."""
        return NewJob(**self.cleaned_data)
