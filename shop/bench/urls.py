"""The addresses of pages that look across rooms."""

from django.urls import path

import provenance.record.converters  # noqa: F401 -- registers <piece:code> and <tree:code>
from shop.bench import finding, people, views

app_name = "bench"
urlpatterns = [
    path("bench/", views.bench, name="bench"),
    path("bench/find", finding.find, name="find"),
    path("pieces/<piece:code>/", views.piece, name="piece"),
    path("trees/<tree:code>/", views.tree, name="tree"),
    path("people/", people.people, name="people"),
    path("people/<int:pk>/", people.person, name="person"),
]
