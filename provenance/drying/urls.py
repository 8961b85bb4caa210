"""The addresses of the drying room."""

from django.urls import URLPattern

import provenance.record.converters  # noqa: F401 -- registers <piece:code>

app_name = "drying"
urlpatterns: list[URLPattern] = []
