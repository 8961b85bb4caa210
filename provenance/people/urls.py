"""The addresses of the people room."""

from django.urls import path

from provenance.people import merge_views, views

app_name = "people"
urlpatterns = [
    path("people/add/", views.add, name="add"),
    path("people/choices", views.choices, name="choices"),
    path("people/<int:pk>/edit/", views.edit, name="edit"),
    path("people/<int:pk>/merge/", merge_views.merge, name="merge"),
    path("people/merges/<int:pk>/part", merge_views.part, name="part"),
]
