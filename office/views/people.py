"""The people of a job: who is on it, and putting somebody on it."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from joints.views.record_page import SeeOther
from office.actions.add_person import add_person
from office.forms.person_forms import AddPersonForm
from office.queries.members import members
from records.access import JobRequest, on_job
from records.refusals import Refusal


@on_job(get="read")
def show_people(request: JobRequest) -> HttpResponse:
    """Show who is on the job in which role; how they sign in is for whoever manages people."""
    return render(request, "office/people.html", {"members": members(request.job)})


@on_job(get="manage people", post="manage people")
def add(request: JobRequest) -> HttpResponse:
    """Put somebody on the job, then show the page of that person."""
    form = AddPersonForm(request.POST or None)
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                person, is_new = add_person(form.draft(), job=request.job, by=request.user)
            except Refusal as refusal:
                form.take(refusal)
                status = refusal.status
            else:
                told = "Give them the link with which they set a password." if is_new else "They sign in as before."
                messages.success(request, f"{person.username} is {form.cleaned_data['role']} now. {told}")
                return SeeOther(reverse("person", args=[request.job.code, person.username]))
    return render(request, "office/person_add.html", {"form": form}, status=status)
