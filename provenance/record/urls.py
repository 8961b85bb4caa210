"""The addresses of the record room."""

from django.urls import path

from provenance.record import views

app_name = "record"
urlpatterns = [
    path("photos/<slug:token>/original", views.original, name="original"),
    path("photos/<slug:token>/edit", views.edit_photo, name="edit_photo"),
    path("photos/<slug:token>/hide", views.hide_photo, name="hide_photo"),
    path("photos/<slug:token>/show", views.show_photo, name="show_photo"),
]
