"""The addresses of the maker room."""

from django.urls import path

from provenance.maker import views

app_name = "maker"
urlpatterns = [
    path("sign-in", views.sign_in, name="sign_in"),
    path("sign-out", views.sign_out, name="sign_out"),
    path("set-up/<str:token>", views.set_up, name="set_up"),
    path("demo-door/<str:token>", views.demo_door, name="demo_door"),
    path("shop/", views.profile, name="profile"),
    path("shop/password", views.change_password, name="change_password"),
]
