"""The addresses of the cards room."""

from django.urls import path

import provenance.record.converters  # noqa: F401 (registers <piece:code>)
from provenance.cards import views

app_name = "cards"
urlpatterns = [
    path("print/", views.runs, name="runs"),
    path("print/choose/", views.choose, name="choose"),
    path("print/prepare/", views.prepare, name="prepare"),
    path("print/<int:pk>/", views.run, name="run"),
    path("print/<int:pk>/change/", views.change, name="change"),
    path("print/<int:pk>/remove/<piece:code>/", views.remove, name="remove"),
    path("print/<int:pk>/make/", views.issue, name="issue"),
    path("print/<int:pk>/sheet.pdf", views.sheet, name="sheet"),
]
