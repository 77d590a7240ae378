"""Routes of the pages of `office`."""

from django.urls import URLPattern, URLResolver

app_name = "office"

urlpatterns: list[URLPattern | URLResolver] = []
