"""The addresses of the record room."""

from django.urls import path

from provenance.record import views

app_name = "record"
urlpatterns = [
    path("photos/<str:token>/original", views.original, name="original"),
    path("photos/<str:token>/edit", views.edit_photo, name="edit_photo"),
    path("photos/<str:token>/hide", views.hide_photo, name="hide_photo"),
    path("photos/<str:token>/show", views.show_photo, name="show_photo"),
]
