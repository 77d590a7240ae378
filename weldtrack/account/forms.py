"""What is asked at the door and in a person's account, in the words of the site."""

from typing import Any

from allauth.account.forms import (
    ChangePasswordForm,
    LoginForm,
    ReauthenticateForm,
    ResetPasswordForm,
    ResetPasswordKeyForm,
)
from allauth.mfa.base import forms as codes
from allauth.mfa.totp.forms import ActivateTOTPForm
from django import forms
from django.core.cache import cache

from records.models import User

CODE = {"autocomplete": "one-time-code", "inputmode": "numeric", "class": "measure"}
# A code counts for the half minute before and after its own; once used, it must not for all of that time.
CODE_LASTS_SECONDS = 120


def _say(field: forms.Field, label: str, help_text: str = "", **attributes: str) -> None:
    field.label, field.help_text = label, help_text
    field.widget.attrs.pop("placeholder", None)
    field.widget.attrs.update(attributes)


class SignInForm(LoginForm):
    """Name and password."""

    def __init__(self, *args: Any, **about: Any) -> None:
        super().__init__(*args, **about)
        _say(self.fields["login"], "Name you sign in with", autocapitalize="none", spellcheck="false")
        _say(self.fields["password"], "Password")

    def add_prefix(self, field_name: str) -> str:
        """Browsers and their password stores know the name by `username`."""
        return "username" if field_name == "login" else super().add_prefix(field_name)


class ForgottenForm(ResetPasswordForm):
    """The mail address that stands with the sign-in."""

    def __init__(self, *args: Any, **about: Any) -> None:
        super().__init__(*args, **about)
        _say(self.fields["email"], "Your mail address")


class NewPasswordForm(ResetPasswordKeyForm):
    """A password, twice."""

    def __init__(self, *args: Any, **about: Any) -> None:
        super().__init__(*args, **about)
        _say(self.fields["password1"], "New password", "At least 10 characters, none of the common ones")
        _say(self.fields["password2"], "The same again")


class OtherPasswordForm(ChangePasswordForm):
    """The password of now, then another one twice."""

    def __init__(self, *args: Any, **about: Any) -> None:
        super().__init__(*args, **about)
        _say(self.fields["oldpassword"], "Your password now")
        _say(self.fields["password1"], "New password", "At least 10 characters, none of the common ones")
        _say(self.fields["password2"], "The same again")


class NamesForm(forms.ModelForm):
    """What one is called, and where one's mail goes."""

    class Meta:
        model = User
        fields = ("first_name", "last_name", "email")
        labels = {"email": "Mail address"}
        help_texts = {"email": "A forgotten password is mended there"}


class ConfirmForm(ReauthenticateForm):
    """The password once more, before something that a passer-by at an open screen must not do."""

    def __init__(self, *args: Any, **about: Any) -> None:
        super().__init__(*args, **about)
        _say(self.fields["password"], "Your password")


class FirstCodeForm(ActivateTOTPForm):
    """The first code that the phone shows: proof that it has the secret."""

    def __init__(self, *args: Any, **about: Any) -> None:
        super().__init__(*args, **about)
        _say(self.fields["code"], "Code that your phone shows", **CODE)

    def clean_code(self) -> str:
        """A wrong code is said without the recovery codes, which there are only afterwards."""
        try:
            code: str = super().clean_code()
        except forms.ValidationError as wrong:
            if wrong.code != "incorrect_code":
                raise
            raise forms.ValidationError("This is not the code. Type the 6 digits that your phone shows now.") from wrong
        return code


class _OnceOnly(forms.Form):
    """A code is taken once, even within its time: whoever read it over a shoulder is too late."""

    user: Any

    def clean_code(self) -> str:
        code: str = super().clean_code()  # type: ignore[misc]
        said = "".join(filter(str.isalnum, code)).upper()
        if not cache.add(f"second-factor:{self.user.pk}:{said}", 1, timeout=CODE_LASTS_SECONDS):
            raise forms.ValidationError("This code was used already. Wait for the next one.")
        return code


class CodeForm(_OnceOnly, codes.AuthenticateForm):
    """The code of now, or a recovery code, after name and password."""

    def __init__(self, *args: Any, **about: Any) -> None:
        super().__init__(*args, **about)
        _say(self.fields["code"], "Code that your phone shows, or a recovery code", **CODE)


class ConfirmCodeForm(_OnceOnly, codes.ReauthenticateForm):
    """The code once more."""

    def __init__(self, *args: Any, **about: Any) -> None:
        super().__init__(*args, **about)
        _say(self.fields["code"], "Code that your phone shows, or a recovery code", **CODE)
