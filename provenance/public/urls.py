"""The addresses that strangers use. Print leads here for decades: never change them."""

from django.urls import path, re_path

from provenance.public import views

app_name = "public"
urlpatterns = [
    path("", views.home, name="home"),
    path("find", views.find, name="find"),
    path("P/<str:code>", views.piece, name="piece"),
    path("T/<str:code>", views.tree, name="tree"),
    re_path(r"^[Pp]/(?P<code>[^/]+)/?$", views.piece),
    re_path(r"^[Tt]/(?P<code>[^/]+)/?$", views.tree),
    re_path(
        r"^photo/(?P<token>[A-Za-z0-9_-]{1,64})-(?P<width>480|1600)\.webp$",
        views.photo,
        name="photo",
    ),
]
