"""The addresses of the trees room."""

from django.urls import path

import provenance.record.converters  # noqa: F401 -- registers <piece:code> and <tree:code>
from provenance.trees import cause_views, section_views, stock_views, views, wood_views

app_name = "trees"
urlpatterns = [
    path("trees/", views.trees, name="trees"),
    path("trees/register/", views.register, name="register"),
    path("trees/species", views.species, name="species"),
    path("trees/<tree:code>/edit/", views.edit, name="edit"),
    path("trees/<tree:code>/photos/", views.add_photo, name="add_photo"),
    path("trees/<tree:code>/notes/", views.note, name="note"),
    path("trees/<tree:code>/sections/add/", section_views.add_section, name="add_section"),
    path(
        "trees/<tree:code>/sections/<slug:letter>/", section_views.edit_section, name="edit_section"
    ),
    path("trees/<tree:code>/sections/<slug:letter>/seal/", section_views.seal, name="seal_section"),
    path("stock/", stock_views.stock, name="stock"),
    path("stock/add/", stock_views.add_stock, name="add_stock"),
    path("stock/<int:pk>/", stock_views.stock_item, name="stock_item"),
    path("stock/<int:pk>/edit/", stock_views.edit_stock, name="edit_stock"),
    path("stock/<int:pk>/photos/", stock_views.add_photo, name="add_stock_photo"),
    path("stock/<int:pk>/notes/", stock_views.note, name="note_stock"),
    path("woods/", wood_views.woods, name="woods"),
    path("woods/<slug:slug>/", wood_views.wood, name="wood"),
    path("lists/causes/", cause_views.causes, name="causes"),
    path("lists/causes/add/", cause_views.add_cause, name="add_cause"),
    path("lists/causes/<slug:slug>/", cause_views.edit_cause, name="edit_cause"),
]
