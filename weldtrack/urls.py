"""Every route of the site."""

from django.contrib.auth.views import LoginView, LogoutView
from django.urls import include, path

from weldtrack.health import healthz

urlpatterns = [
    path("healthz", healthz, name="healthz"),
    path(
        "sign-in/",
        LoginView.as_view(template_name="weldtrack/sign_in.html", redirect_authenticated_user=True),
        name="sign-in",
    ),
    path("sign-out/", LogoutView.as_view(), name="sign-out"),
    path("", include("office.urls")),
    path("", include("joints.urls")),
    path("", include("inspection.urls")),
]
