"""The addresses of the sales room."""

from django.urls import URLPattern, URLResolver, include, path, re_path

import shop.sales.converters  # noqa: F401 -- registers <receipt:code>
from shop.sales.views import paying, receipts, selling, terms, undoing

app_name = "sales"

sell = [
    path("sales/new/", selling.sell, name="sell"),
    path("sales/new/offer", selling.offer, name="offer"),
]

of_a_receipt = [
    path("", receipts.receipt, name="receipt"),
    path("receipt.pdf", receipts.receipt_file, name="receipt_pdf"),
    path("pay/", paying.pay, name="pay"),
    path("refund/", undoing.refund, name="refund"),
    path("void/", undoing.void, name="void"),
]

how_the_shop_sells: list[URLPattern | URLResolver] = [
    path("sales/terms/", terms.terms, name="terms"),
    path("sales/rates/", terms.rates, name="rates"),
    path("sales/rates/add/", terms.add_rate, name="add_rate"),
    path("sales/rates/<int:pk>/", terms.edit_rate, name="edit_rate"),
    path("sales/rates/<int:pk>/change/", terms.change_rate, name="change_rate"),
    re_path(
        r"^sales/lists/(?P<which>kinds|extras)/",
        include(
            [
                path("", terms.entries, name="lists"),
                path("add/", terms.add_entry, name="add_entry"),
                path("<int:pk>/", terms.edit_entry, name="edit_entry"),
            ]
        ),
    ),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("sales/", receipts.receipts, name="receipts"),
    *sell,
    path("sales/<receipt:code>/", include(of_a_receipt)),
    path("sales/payments/<int:pk>/take-back/", paying.take_back, name="take_back"),
    *how_the_shop_sells,
]
