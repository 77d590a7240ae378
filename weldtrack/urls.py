"""Every route of the site."""

from django.urls import include, path

from weldtrack.health import healthz

urlpatterns = [
    path("healthz", healthz, name="healthz"),
    path("", include("weldtrack.account.urls")),
    path("", include("office.urls")),
    path("", include("joints.urls")),
    path("", include("inspection.urls")),
]
