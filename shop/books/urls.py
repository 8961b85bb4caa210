"""The addresses of the books."""

from django.urls import path

import shop.books.converters
import shop.sales.converters  # noqa: F401 -- both register theirs
from shop.books import views

app_name = "books"
urlpatterns = [
    path("month/", views.this_month, name="month"),
    path("month/<month:month>/", views.month, name="month"),
    path("month/<month:month>/month.csv", views.month_csv, name="month_csv"),
    path("month/<month:month>/month.pdf", views.month_file, name="month_pdf"),
    path("month/<month:month>/entries/", views.entries, name="entries"),
]
