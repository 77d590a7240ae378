"""Routes of the pages of `joints`."""

from django.urls import URLPattern, URLResolver

app_name = "joints"

urlpatterns: list[URLPattern | URLResolver] = []
