"""Every route of the site."""

from django.urls import include, path, re_path

from weldtrack.api.pages import NothingView
from weldtrack.health import healthz
from weldtrack.keeper import send_keeper, show_kept

urlpatterns = [
    path("healthz", healthz, name="healthz"),
    path("keeper.js", send_keeper, name="keeper"),
    path("kept/", show_kept, name="kept"),
    path("", include("weldtrack.account.urls")),
    path("", include("weldtrack.api.urls")),
    path("", include("office.urls")),
    path("", include("joints.urls")),
    path("", include("inspection.urls")),
    # No converter: an address may hold any sign, and a line break is none to `path`.
    re_path("^api/", NothingView.as_view(), name="api-nothing"),
]
