"""The addresses of the keeping room."""

from django.urls import path

from shop.keeping import views

app_name = "keeping"
urlpatterns = [path("health/", views.health, name="health")]
