"""The pages of a person's tokens."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from records import second_factor
from records.models import User
from weldtrack.account import tokens
from weldtrack.account.token_form import TokenForm


@require_http_methods(["GET", "HEAD", "POST"])
def show_tokens(request: HttpRequest) -> HttpResponse:
    """List the tokens; make one and show its secret, this once."""
    assert isinstance(request.user, User)  # the routes let nobody in who has not signed in
    form = TokenForm(request.POST if request.method == "POST" else None, user=request.user)
    secret, status = "", 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            clean, status = form.cleaned_data, 200
            _, secret = tokens.make(
                clean["id"],
                user=request.user,
                name=clean["name"],
                may_write=clean["scope"] == "write",
                job=clean["job"],
                has_second_factor=second_factor.was_given(request),
            )
            form = TokenForm(user=request.user)
    context = {"form": form, "tokens": tokens.of(request.user), "secret": secret}
    return render(request, "weldtrack/tokens.html", context, status=status)


@require_POST
@login_required
def revoke_token(request: HttpRequest, token: UUID) -> HttpResponse:
    """Revoke a token."""
    if tokens.revoke(request.user, token):  # type: ignore[arg-type]
        messages.success(request, "Revoked: it opens nothing any more.")
    return redirect("tokens")
