"""A person's account: second factor, password, and where they are signed in."""

from typing import Any
from urllib.parse import urlencode

from allauth.account.authentication import AUTHENTICATION_METHODS_SESSION_KEY, get_authentication_records
from allauth.account.internal.flows.login import record_authentication
from allauth.account.views import PasswordChangeView, PasswordResetFromKeyView
from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.views import ViewRecoveryCodesView
from allauth.mfa.totp.views import ActivateTOTPView, DeactivateTOTPView
from axes.utils import reset
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST
from django.views.generic.edit import UpdateView

from records import second_factor
from records.models import User
from weldtrack.account import sessions, tokens
from weldtrack.account.adapters import has_second_factor
from weldtrack.account.forms import NamesForm


@require_GET
@login_required
@never_cache
def show_account(request: HttpRequest) -> HttpResponse:
    """Show how the person signs in, and where they are signed in now."""
    context = {
        "has_second_factor": has_second_factor(request.user),  # type: ignore[arg-type]
        "places": sessions.places(request.user, request.session.session_key),  # type: ignore[arg-type]
    }
    return render(request, "weldtrack/account.html", context)


@require_POST
@login_required
def end_session(request: HttpRequest, session: int) -> HttpResponse:
    """Sign the person out on another device."""
    if sessions.end(request.user, session):  # type: ignore[arg-type]
        messages.success(request, "Signed out there.")
    return redirect("account")


@require_POST
@login_required
def end_other_sessions(request: HttpRequest) -> HttpResponse:
    """Sign the person out everywhere but here."""
    ended = sessions.end_all(request.user, but=request.session.session_key)  # type: ignore[arg-type]
    messages.success(request, f"Signed out in {ended} other place{'' if ended == 1 else 's'}.")
    return redirect("account")


class Names(UpdateView):
    """Change one's own names and mail address; the password is asked first, for a forgotten one is mended by mail."""

    form_class = NamesForm
    template_name = "weldtrack/names.html"

    def get_object(self, queryset: Any = None) -> User:
        """Whoever is signed in."""
        return User.objects.get(username=self.request.user.get_username())

    def get_success_url(self) -> str:
        """Back to the account."""
        messages.success(self.request, "Written down.")
        return reverse("account")


class NewPassword(PasswordResetFromKeyView):
    """A new password from a link."""

    template_name = "weldtrack/password_new.html"

    def form_valid(self, form: Any) -> HttpResponse:
        """Set it, revoke every token, open the lock of wrong passwords: whoever has the link need not wait for it."""
        response = super().form_valid(form)
        tokens.revoke_all(self.reset_user)
        reset(username=self.reset_user.get_username())
        return response


class ChangePassword(PasswordChangeView):
    """Another password, by whoever knows the one of now."""

    template_name = "weldtrack/password_change.html"

    def form_valid(self, form: Any) -> HttpResponse:
        """Change it and revoke every token: whoever fears that theirs is known wants all doors shut."""
        response = super().form_valid(form)
        if revoked := tokens.revoke_all(self.request.user):
            messages.info(self.request, f"{revoked} token{'' if revoked == 1 else 's'} revoked with it.")
        return response


class SetUpSecondFactor(ActivateTOTPView):
    """Show the square code, and take the first code; this session then counts as one with a second factor."""

    template_name = "weldtrack/second_factor_set_up.html"

    def get_success_url(self) -> str:
        """To the recovery codes, which say where to go on."""
        going = _on_this_site(self.request)
        return reverse("mfa_view_recovery_codes") + (f"?{urlencode({'next': going})}" if going else "")

    def form_valid(self, form: Any) -> HttpResponse:
        """Store it, show the recovery codes, sign out elsewhere: those sessions came in by password alone."""
        response = super().form_valid(form)
        record_authentication(self.request, self.request.user, "mfa", type=Authenticator.Type.TOTP)
        sessions.end_all(self.request.user, but=self.request.session.session_key)
        return response


class RecoveryCodes(ViewRecoveryCodesView):
    """The codes that are left, and the way on to where the person was going."""

    template_name = "weldtrack/recovery_codes.html"

    def get_context_data(self, **about: Any) -> dict[str, Any]:
        """Add where to go on."""
        return super().get_context_data(**about) | {"go_on": _on_this_site(self.request)}


class TakeOffSecondFactor(DeactivateTOTPView):
    """Ask once, then sign in by password alone from now on."""

    template_name = "weldtrack/second_factor_take_off.html"

    def get_success_url(self) -> str:
        """Back to the account."""
        return reverse("account")

    def form_valid(self, form: Any) -> HttpResponse:
        """Take it off; where a job demands one, this session no longer has it, nor has any token."""
        response = super().form_valid(form)
        second_factor.forget(self.request.user)
        kept = [one for one in get_authentication_records(self.request, self.request.user) if one["method"] != "mfa"]
        self.request.session[AUTHENTICATION_METHODS_SESSION_KEY] = kept
        return response


def _on_this_site(request: HttpRequest) -> str:
    """Where the person was going, where that is a page of this site; else an empty text."""
    going = request.GET.get("next", "")
    is_ours = url_has_allowed_host_and_scheme(going, {request.get_host()}, require_https=request.is_secure())
    return going if is_ours else ""
