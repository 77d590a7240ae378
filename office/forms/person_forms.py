"""What is asked about the people of a job: who comes onto it, their roles, their stamp, their names."""

from typing import Any

from django import forms

from joints.forms.quantities import StampField
from joints.forms.told_form import ToldForm
from office.actions.add_person import NewPerson
from records.models import Job
from records.models.job import ROLES

ABOUT = {
    "welder": "welder: records fit-ups and passes",
    "foreman": "foreman: what a welder may, assigns welders, withdraws records",
    "inspector": "inspector: examines, decides repairs, releases, overrides findings",
    "engineer": "engineer: all of these, changes the plan, confirms tables",
    "owner": "owner: the owner’s inspector, attends or waives hold points, reads everything",
    "client": "client: reads everything",
    "administrator": "administrator: people, settings and the plan of the job",
}
_CHOICES = [(role, ABOUT[role]) for role in ROLES]


def _mail_field(help_text: str = "") -> forms.EmailField:
    said = {"invalid": "This is no mail address. Accepted: one such as name@example.com."}
    return forms.EmailField(label="Mail address", required=False, help_text=help_text, error_messages=said)


class AddPersonForm(ToldForm):
    """A name to sign in with and a role; the rest is for somebody who does not sign in yet."""

    username = forms.CharField(
        label="Name to sign in with",
        max_length=150,
        help_text="Letters, digits and @ . + - _; whoever signs in already comes onto the job with this name",
        widget=forms.TextInput(attrs={"autocapitalize": "none", "autocomplete": "off", "spellcheck": "false"}),
    )
    role = forms.ChoiceField(label="Role", choices=_CHOICES, widget=forms.RadioSelect)
    first_name = forms.CharField(label="First name", max_length=150, required=False, help_text="Of a new person")
    last_name = forms.CharField(label="Last name", max_length=150, required=False)
    email = _mail_field("A forgotten password is mended there")

    def draft(self) -> NewPerson:
        """What this form says."""
        return NewPerson(**self.cleaned_data)


class RolesForm(ToldForm):
    """The roles that a person holds; none takes them off the job."""

    roles = forms.MultipleChoiceField(
        label="Roles", choices=_CHOICES, required=False, widget=forms.CheckboxSelectMultiple
    )
    reason = forms.CharField(
        label="Why", required=False, max_length=1000, help_text="Needed where a role is taken; it stands in the journal"
    )


class LinkStampForm(ToldForm):
    """A stamp of the job."""

    def __init__(self, data: Any = None, *, job: Job) -> None:
        super().__init__(data)
        self.fields["stamp"] = StampField(job, label="Stamp")


class DescribeForm(ToldForm):
    """Names and mail address."""

    first_name = forms.CharField(label="First name", max_length=150, required=False)
    last_name = forms.CharField(label="Last name", max_length=150, required=False)
    email = _mail_field()
