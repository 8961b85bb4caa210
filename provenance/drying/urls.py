"""The addresses of the drying room."""

from django.urls import path

import provenance.record.converters  # noqa: F401 -- registers <piece:code>
from provenance.drying.views import (
    climate,
    jaws,
    measuring,
    piece,
    ready,
    rounds,
    scales,
    survival,
    true_up,
    weighing,
)

app_name = "drying"
urlpatterns = [
    path("pieces/<piece:code>/drying/", piece.piece, name="piece"),
    path("pieces/<piece:code>/drying/again/", weighing.work_out_again, name="work_out_again"),
    path("pieces/<piece:code>/true-up/", true_up.true_up, name="true_up"),
    path("pieces/<piece:code>/axes/", measuring.axes, name="axes"),
    path(
        "pieces/<piece:code>/axes/<int:pk>/take-back/",
        measuring.take_back_axes,
        name="take_back_axes",
    ),
    path("pieces/<piece:code>/soundness/", measuring.soundness, name="soundness"),
    path(
        "pieces/<piece:code>/soundness/<int:pk>/take-back/",
        measuring.take_back_check,
        name="take_back_check",
    ),
    path("drying/", ready.ready, name="ready"),
    path("drying/round/", rounds.rounds_page, name="rounds"),
    path("drying/round/start/", rounds.start_round, name="start_round"),
    path("drying/round/<int:pk>/", rounds.round_page, name="round"),
    path("drying/round/<int:pk>/weigh/", rounds.weigh_in_round, name="weigh_in_round"),
    path("drying/round/<int:pk>/turn-to/", rounds.turn_to, name="turn_to"),
    path("drying/round/<int:pk>/end/", rounds.end_round, name="end_round"),
    path("drying/air/", climate.air, name="climate"),
    path("drying/air/read/", climate.read_air, name="read_air"),
    path("drying/air/<int:pk>/", climate.correct_air, name="correct_air"),
    path("drying/air/<int:pk>/take-back/", climate.take_back_air, name="take_back_air"),
    path("drying/scales/", scales.scales, name="scales"),
    path("drying/scales/add/", scales.add_scale, name="add_scale"),
    path("drying/scales/<int:pk>/", scales.edit_scale, name="edit_scale"),
    path("pieces/<piece:code>/weigh/", weighing.weigh, name="weigh"),
    path(
        "pieces/<piece:code>/weighings/<int:pk>/take-back/",
        weighing.take_back_weighing,
        name="take_back_weighing",
    ),
    path("shop/jaws/", jaws.jaws, name="jaws"),
    path("shop/jaws/add/", jaws.add_jaws, name="add_jaws"),
    path("shop/jaws/<int:pk>/", jaws.edit_jaws, name="edit_jaws"),
    path("shop/jaws/<int:pk>/remove/", jaws.remove_jaws, name="remove_jaws"),
    path("drying/survival/", survival.survival, name="survival"),
]
