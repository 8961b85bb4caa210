"""Every address of the shop. Rooms keep their own; this page gathers them."""

from django.urls import include, path

urlpatterns = [
    path("", include("shop.keeping.urls")),
    path("", include("shop.bench.urls")),
    path("", include("shop.commissions.urls")),
    path("", include("shop.books.urls")),
    path("", include("shop.sales.urls")),
    path("", include("provenance.cards.urls")),
    path("", include("provenance.drying.urls")),
    path("", include("provenance.pieces.urls")),
    path("", include("provenance.trees.urls")),
    path("", include("provenance.people.urls")),
    path("", include("provenance.record.urls")),
    path("", include("provenance.maker.urls")),
    path("", include("provenance.public.urls")),
]

handler400 = "provenance.public.views.not_taken"
handler403 = "provenance.public.views.refused"
handler404 = "provenance.public.views.not_found"
handler500 = "provenance.public.views.broken"
