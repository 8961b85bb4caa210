"""The addresses of the people room."""

from django.urls import path

from provenance.people import views

app_name = "people"
urlpatterns = [
    path("people/", views.people, name="people"),
    path("people/add/", views.add, name="add"),
    path("people/choices", views.choices, name="choices"),
    path("people/<int:pk>/edit/", views.edit, name="edit"),
]
