"""Routes of the pages of `inspection`."""

from django.urls import URLPattern, URLResolver

app_name = "inspection"

urlpatterns: list[URLPattern | URLResolver] = []
