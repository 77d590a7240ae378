"""Every route of the site."""

from django.urls import include, path

from weldtrack.api.pages import NothingView
from weldtrack.health import healthz

urlpatterns = [
    path("healthz", healthz, name="healthz"),
    path("", include("weldtrack.account.urls")),
    path("", include("weldtrack.api.urls")),
    path("", include("office.urls")),
    path("", include("joints.urls")),
    path("", include("inspection.urls")),
    path("api/<path:rest>", NothingView.as_view(), name="api-nothing"),
]
