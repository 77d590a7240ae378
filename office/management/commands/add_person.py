"""Put a person on a job in a role; whoever can't sign in yet gets a sign-in."""

import sys
from getpass import getpass
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import transaction

from records.models import Job, Membership, User
from records.models.job import ROLES
from records.site_account import join, site_account


class Command(BaseCommand):
    """A role that the person holds already is said and changes nothing."""

    help = "Put a person on a job in a role, and give them a sign-in if they have none."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the sign-in, the job, the role and the person's names."""
        parser.add_argument("name", help="the name that the person signs in with")
        parser.add_argument("--job", required=True, metavar="CODE", help="the job's code")
        parser.add_argument("--role", required=True, choices=ROLES, help="what the person does on the job")
        parser.add_argument("--first", default="", metavar="NAME", help="first name, of a new person")
        parser.add_argument("--last", default="", metavar="NAME", help="last name, of a new person")

    def handle(self, *args: Any, **options: Any) -> None:
        """Make the sign-in where there is none, and write the membership with its journal entry."""
        name, role = options["name"], options["role"]
        job = Job.objects.filter(code=options["job"]).first()
        if job is None:
            raise CommandError(f"There is no job {options['job']}.", returncode=1)
        person = User.objects.filter(username=name).first()
        unsaved = person or _new_person(name, options["first"], options["last"])
        with transaction.atomic():
            unsaved.save()
            if Membership.objects.filter(job=job, user=unsaved, role=role, is_held=True).exists():
                self.stdout.write(f"{name} is {role} on {job.code} already.")
                return
            join(job, unsaved, role, by=site_account(job))
        self.stdout.write(f"{name} is {role} on {job.code}{'' if person else ', and can sign in'}.")


def _new_person(name: str, first: str, last: str) -> User:
    """A person with a password, unsaved. Raises CommandError for a name or a password that can't be."""
    person = User(username=name, first_name=first, last_name=last)
    try:
        person.clean_fields(exclude=["password"])
        password = _password(name)
        validate_password(password, person)
    except ValidationError as error:
        raise CommandError(" ".join(error.messages), returncode=1) from error
    person.set_password(password)
    return person


def _password(name: str) -> str:
    """Ask twice on a terminal; else the first line of what is piped in."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\n")
    password = getpass(f"Password for {name}: ")
    if getpass("The same again: ") != password:
        raise CommandError("The two passwords differ; nothing was written.", returncode=1)
    return password
