"""The addresses of the commissions room."""

from django.urls import include, path

from shop.commissions.views import listing, money, moving, wood

app_name = "commissions"

of_one = [
    path("", listing.commission, name="commission"),
    path("edit/", listing.edit, name="edit"),
    path("agree/", moving.agree, name="agree"),
    path("begin/", moving.begin, name="begin"),
    path("ready/", moving.ready, name="ready"),
    path("take-up/", moving.take_up, name="take_up"),
    path("hand-over/", moving.hand_over, name="hand_over"),
    path("call-off/", moving.call_off, name="call_off"),
    path("deposit/", money.deposit, name="deposit"),
    path("give-back/", money.give_back, name="give_back"),
    path("wood/", wood.keep, name="wood"),
    path("pieces/", wood.pieces, name="pieces"),
]

urlpatterns = [
    path("commissions/", listing.commissions, name="commissions"),
    path("commissions/add/", listing.add, name="add"),
    path("commissions/<int:pk>/", include(of_one)),
]
