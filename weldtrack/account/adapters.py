"""What the library of sign-in and second factor asks the site: addresses, sentences, secrets, the square code."""

import base64
import hashlib
from io import BytesIO
from typing import Any

import segno
from allauth.account.adapter import DefaultAccountAdapter
from allauth.mfa.adapter import DefaultMFAAdapter
from cryptography.fernet import Fernet, InvalidToken
from django.conf import settings
from django.http import HttpRequest
from django.urls import reverse

from records.models import User
from records.refusals import Implausible
from weldtrack.client_address import client_address


class AccountAdapter(DefaultAccountAdapter):
    """Nobody signs themselves up, and wrong passwords are counted in one place alone: the lock-out."""

    error_messages = DefaultAccountAdapter.error_messages | {
        "username_password_mismatch": "Name and password don’t belong together. Both count capital letters.",
        "enter_current_password": "This is not your password of now.",
        "incorrect_password": "This is not your password.",
        "incorrect_code": "This is not the code. Take the one your phone shows now, or a recovery code not used yet.",
        "too_many_login_attempts": "Too many wrong codes. Wait five minutes, then try again.",
        "rate_limited": "Too many tries. Wait five minutes, then try again.",
    }

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Only an administrator makes a sign-in."""
        return False

    def pre_authenticate(self, request: HttpRequest, **credentials: Any) -> None:
        """The lock-out counts wrong passwords, by name and address, for all processes together."""
        self._login_failed_rl_usage = None

    def get_client_ip(self, request: HttpRequest) -> str:
        """The address behind our own proxies."""
        return client_address(request)

    def get_reset_password_from_key_url(self, key: str) -> str:
        """The link of a mail; `key` is the person's number and the token, joined by a dash."""
        number, _, token = key.partition("-")
        path = reverse("account_reset_password_from_key", kwargs={"uidb36": number, "key": token})
        return str(self.request.build_absolute_uri(path))

    def get_password_change_redirect_url(self, request: HttpRequest) -> str:
        """Back to the account."""
        return reverse("account")


class SecondFactorAdapter(DefaultMFAAdapter):
    """A copy of the database alone gives nobody a second factor: its secrets are encrypted with the site's key."""

    error_messages = DefaultMFAAdapter.error_messages | {
        "incorrect_code": AccountAdapter.error_messages["incorrect_code"],
        "cannot_generate_recovery_codes": "Recovery codes go with a second factor; set that up first.",
    }

    def encrypt(self, text: str) -> str:
        """A secret as it is stored."""
        return _box().encrypt(text.encode()).decode()

    def decrypt(self, encrypted_text: str) -> str:
        """The secret again. Raises Implausible where the site's SECRET_KEY is not the one of then."""
        try:
            return _box().decrypt(encrypted_text.encode()).decode()
        except InvalidToken as fault:
            told = "The site’s SECRET_KEY was changed since this second factor was set up; ask to have it taken off."
            raise Implausible(told) from fault

    def get_totp_label(self, user: Any) -> str:
        """What the phone shows beside the code."""
        return str(user.get_username())

    def build_totp_svg(self, url: str) -> str:
        """The square code to photograph, drawn in the page itself: nothing is loaded, nothing has a style."""
        drawn = BytesIO()
        segno.make(url, micro=False, error="m").save(
            drawn, kind="svg", border=4, xmldecl=False, omitsize=True, dark="#000", light="#fff",
            title="Square code of your second factor", svgclass="square-code", lineclass=None,
        )  # fmt: skip
        return drawn.getvalue().decode()


def has_second_factor(user: User) -> bool:
    """Say whether a person signs in with a second factor; one query."""
    return bool(SecondFactorAdapter().is_mfa_enabled(user))


def _box() -> Fernet:
    key = hashlib.sha256(b"second factor:" + settings.SECRET_KEY.encode()).digest()
    return Fernet(base64.urlsafe_b64encode(key))
