"""Routes of the door and of a person's account; names with account_ and mfa_ are those the library asks for."""

from typing import Any

from allauth.account import views as passwords
from allauth.account.decorators import reauthentication_required
from allauth.mfa.base import views as codes
from allauth.mfa.recovery_codes import views as recovery
from django.contrib.auth.decorators import login_required
from django.contrib.auth.views import LogoutView
from django.urls import URLPattern, path
from django.views.decorators.cache import never_cache

from weldtrack.account import token_views, views


def mine(view: Any) -> Any:
    """A page of one's own account: signed in, and kept by no browser that many hands share."""
    return never_cache(login_required(view))


urlpatterns: list[URLPattern] = [
    path("sign-in/", passwords.LoginView.as_view(template_name="weldtrack/sign_in.html"), name="account_login"),
    path(
        "sign-in/code/",
        codes.AuthenticateView.as_view(template_name="weldtrack/sign_in_code.html"),
        name="mfa_authenticate",
    ),
    path("sign-out/", LogoutView.as_view(), name="sign-out"),
    path(
        "password/",
        passwords.PasswordResetView.as_view(template_name="weldtrack/password_forgotten.html"),
        name="account_reset_password",
    ),
    path(
        "password/sent/",
        passwords.PasswordResetDoneView.as_view(template_name="weldtrack/password_sent.html"),
        name="account_reset_password_done",
    ),
    path("password/new/<str:uidb36>/<str:key>/", views.NewPassword.as_view(), name="account_reset_password_from_key"),
    path(
        "password/done/",
        passwords.PasswordResetFromKeyDoneView.as_view(template_name="weldtrack/password_done.html"),
        name="account_reset_password_from_key_done",
    ),
    path("account/", views.show_account, name="account"),
    path("account/names/", mine(reauthentication_required(views.Names.as_view())), name="account-names"),
    path("account/sessions/<int:session>/end/", views.end_session, name="session-end"),
    path("account/sessions/end-others/", views.end_other_sessions, name="sessions-end-others"),
    path("account/tokens/", mine(reauthentication_required(token_views.show_tokens)), name="tokens"),
    path("account/tokens/<uuid:token>/revoke/", token_views.revoke_token, name="token-revoke"),
    path(
        "account/password/",
        mine(views.ChangePassword.as_view()),
        name="account_change_password",
    ),
    path(
        "account/confirm/",
        mine(passwords.ReauthenticateView.as_view(template_name="weldtrack/confirm.html")),
        name="account_reauthenticate",
    ),
    path(
        "account/confirm/code/",
        mine(codes.ReauthenticateView.as_view(template_name="weldtrack/confirm.html")),
        name="mfa_reauthenticate",
    ),
    path("account/second-factor/", mine(views.SetUpSecondFactor.as_view()), name="mfa_activate_totp"),
    path("account/second-factor/off/", mine(views.TakeOffSecondFactor.as_view()), name="mfa_deactivate_totp"),
    path(
        "account/second-factor/recovery/",
        mine(views.RecoveryCodes.as_view()),
        name="mfa_view_recovery_codes",
    ),
    path(
        "account/second-factor/recovery/new/",
        mine(recovery.GenerateRecoveryCodesView.as_view(template_name="weldtrack/recovery_codes_new.html")),
        name="mfa_generate_recovery_codes",
    ),
]
