"""The people who sign in."""

from django.contrib.auth.models import AbstractUser


class User(AbstractUser):
    """A person with a sign-in; what they may do follows from their memberships."""
