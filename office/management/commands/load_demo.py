"""Load the invented demonstration job, with one sign-in a role."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from joints.actions.attach_certificate import attach_certificate
from office.importing.workbook import import_workbook
from records.models import Certificate, Job, User
from records.refusals import Refusal
from records.site_account import join

CODE = "OB-2604"
# Known to everybody who reads this: good for an invented job on one's own computer, and refused anywhere else.
PASSWORD = "spool-demo-2026"


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody of the invented crew; welders bear the stamps whose sign-in the workbook gives."""

    sign_in: str
    role: str
    first: str
    last: str
    about: str


CREW = (
    Person("foreman", "foreman", "Gregor", "Stane", "assigns welders"),
    Person("welder", "welder", "Marta", "Quellin", "stamp D12, joints waiting"),
    Person("hamish", "welder", "Hamish", "Corro", "stamp D21"),
    Person("inspector", "inspector", "Ansel", "Brightwater", "examines, decides repairs, releases"),
    Person("engineer", "engineer", "Elspeth", "Ravn", "plans, confirms tables, builds packages"),
    Person("owner", "owner", "Tobin", "Harle", "the owner's inspector: attends or waives hold points"),
    Person("client", "client", "Ysolde", "Pemble", "reads, takes the turnover package"),
    Person("administrator", "administrator", "Nadia", "Corvell", "people and roles"),
)


class Command(BaseCommand):
    """Load what is absent; a second call changes nothing and prints the sign-ins again."""

    help = "Load the invented demonstration job and print one sign-in a role."

    def handle(self, *args: Any, **options: Any) -> None:
        """Make the people, import the workbook, attach the certificates, print the sign-ins."""
        if settings.PRODUCTION:
            raise CommandError(
                "The demonstration job has passwords that everybody knows, so it is not loaded on a site that others "
                "reach (PRODUCTION is on).",
                returncode=1,
            )
        folder: Path = settings.BASE_DIR / "demo"
        people = {person.sign_in: _user(person) for person in CREW}
        self._import(folder / f"{CODE}.xlsx")
        job = Job.objects.get(code=CODE)
        with transaction.atomic():
            for person in CREW:
                join(job, people[person.sign_in], person.role, by=people["administrator"])
        self._attach(job, folder / "certificates", people["engineer"])
        self._print()

    def _import(self, workbook: Path) -> None:
        """An import is all or nothing: a job that stands was imported whole, and people may have worked on it."""
        if Job.objects.filter(code=CODE).exists():
            return
        self.stdout.write(f"Importing {workbook.name} ...")
        self.stdout.flush()
        outcome = import_workbook(workbook, CODE, by=None, may_create=True)
        if outcome.faults:
            raise CommandError("\n".join(outcome.faults), returncode=1)

    def _attach(self, job: Job, folder: Path, by: User) -> None:
        """A file belongs to the certificate whose number is its name."""
        waiting = {one.number: one for one in Certificate.objects.filter(job=job, file="")}
        for path in sorted(folder.glob("*.pdf")):
            if certificate := waiting.get(path.stem):
                try:
                    attach_certificate(certificate, path.read_bytes(), path.name, job=job, by=by)
                except Refusal as refusal:
                    raise CommandError(f"{path.name}: {refusal.message}", returncode=1) from refusal

    def _print(self) -> None:
        self.stdout.write(f"The demonstration job {CODE} is invented. Sign in with the password {PASSWORD} as")
        for person in CREW:
            name = f"{person.first} {person.last}"
            self.stdout.write(f"  {person.role:<14} {person.sign_in:<14} {name:<18} {person.about}")


def _user(person: Person) -> User:
    user = User.objects.filter(username=person.sign_in).first()
    if user is None:
        names = {"first_name": person.first, "last_name": person.last}
        user = User.objects.create_user(person.sign_in, password=PASSWORD, **names)
    return user
