"""Take a second factor off from the server, where no administrator can: the way back in for the last of them."""

from typing import Any

from allauth.mfa.models import Authenticator
from allauth.usersessions.models import UserSession
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import transaction

from records import second_factor
from records.models import User


class Command(BaseCommand):
    """Whoever can start a command has the whole server, so it asks for no more than that."""

    help = "Take somebody's second factor off: they then sign in by password alone."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the sign-in."""
        parser.add_argument("name", help="the name that the person signs in with")

    def handle(self, *args: Any, **options: Any) -> None:
        """Remove the codes, sign the person out everywhere, and say so."""
        person = User.objects.filter(username=options["name"]).first()
        if person is None:
            raise CommandError(f"Nobody signs in as {options['name']}.", returncode=1)
        with transaction.atomic():
            removed, _ = Authenticator.objects.filter(user=person).delete()
            second_factor.forget(person)
            for session in UserSession.objects.filter(user=person):
                session.end()
        self.stdout.write(f"{person}: {'the second factor is off' if removed else 'there was no second factor'}.")
