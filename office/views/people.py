"""The people of a job: who is on it, and putting somebody on it."""

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from joints.views.record_page import form_page, sent
from office.actions.add_person import add_person
from office.forms.person_forms import AddPersonForm
from office.queries.members import members
from records.access import JobRequest, on_job
from records.models import User


@on_job(get="read")
def show_people(request: JobRequest) -> HttpResponse:
    """Show who is on the job in which role; how they sign in is for whoever manages people."""
    return render(request, "office/people.html", {"members": members(request.job)})


@on_job(get="manage people", post="manage people")
def add(request: JobRequest) -> HttpResponse:
    """Put somebody on the job, then show the page of that person."""
    form = AddPersonForm(sent(request))

    def told(added: tuple[User, bool]) -> str:
        person, is_new = added
        next_up = "Give them the link with which they set a password." if is_new else "They sign in as before."
        return f"{person.username} is {form.cleaned_data['role']} now. {next_up}"

    return form_page(
        request,
        form,
        lambda: add_person(form.draft(), job=request.job, by=request.user),
        template="office/person_add.html",
        back=lambda added: reverse("person", args=[request.job.code, added[0].username]),
        told=told,
    )
