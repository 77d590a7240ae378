"""Every address of the web API but the calculators'."""

from django.urls import URLPattern, path

from inspection.api.examining import EXAMINING
from inspection.api.lots import LOTS
from joints.api.attempts import AttemptsView
from joints.api.people import PEOPLE
from joints.api.plan import PLAN
from joints.api.questions import RequirementsView, WhoMayWeldView
from joints.api.records import RECORDS
from joints.api.shop import SHOP
from office.api.paper import PAPER
from office.api.webhooks import WEBHOOK_ROUTES
from records.api.endpoints import routes
from weldtrack.api.pages import RootView, SchemaView, show_docs

urlpatterns: list[URLPattern] = [
    path("api/", RootView.as_view(), name="api-root"),
    path("api/schema/", SchemaView.as_view(), name="api-schema"),
    path("api/docs/", show_docs, name="api-docs"),
    path("api/attempts/", AttemptsView.as_view(), name="api-attempts"),
    path("api/joints/<uuid:id>/who-may-weld/", WhoMayWeldView.as_view(), name="api-who-may-weld"),
    path("api/joints/<uuid:id>/requirements/", RequirementsView.as_view(), name="api-requirements"),
    *WEBHOOK_ROUTES,
    *routes(*PAPER, *PLAN, *PEOPLE, *RECORDS, *SHOP, *EXAMINING, LOTS),
]
