"""The addresses of the pieces room."""

from django.urls import include, path, re_path

import provenance.record.converters  # noqa: F401 -- registers <piece:code>
from provenance.pieces.views import (
    custody,
    cutting,
    details,
    listing,
    making,
    moving,
    open_lists,
    promises,
)

app_name = "pieces"

of_a_piece = [
    path("move/<slug:slug>/", moving.move, name="move"),
    path("lose/", moving.lose, name="lose"),
    path("undo/", moving.undo, name="undo"),
    path("coat/", moving.add_coat, name="add_coat"),
    path("edit/", details.edit, name="edit"),
    path("sources/", making.correct_sources, name="correct_sources"),
    path("photos/", details.add_photo, name="add_photo"),
    path("notes/", details.note, name="note"),
    path("hands/", custody.hand_over, name="hand_over"),
    path("publish/", custody.publish, name="publish"),
    path("withdraw/", custody.withdraw, name="withdraw"),
]

urlpatterns = [
    path("pieces/", listing.pieces, name="pieces"),
    path("pieces/make/", making.make, name="make"),
    path("pieces/made/", making.made, name="made"),
    path("pieces/enter-old/", making.enter_old, name="enter_old"),
    path("pieces/move-many/", moving.move_many, name="move_many"),
    path("pieces/lose-many/", moving.lose_many, name="lose_many"),
    path("pieces/hand-over-many/", custody.hand_over_many, name="hand_over_many"),
    path("pieces/undo-many/", moving.undo_many, name="undo_many"),
    path("pieces/<piece:code>/", include(of_a_piece)),
    path("trees/<tree:code>/sections/<slug:letter>/plan/", cutting.cut_plan, name="cut_plan"),
    path(
        "trees/<tree:code>/sections/<slug:letter>/plan/blanks/",
        cutting.cut_blanks,
        name="cut_blanks",
    ),
    path("promises/", promises.promise_list, name="promises"),
    path("promises/add/", promises.add_promise, name="add_promise"),
    path("promises/<int:pk>/", promises.promise, name="promise"),
    path("promises/<int:pk>/settle/", promises.settle_promise, name="settle_promise"),
    # Named one by one: other rooms have lists under /lists/ too.
    re_path(
        r"^lists/(?P<which>forms|edges|finishes|losses)/",
        include(
            [
                path("", open_lists.entries, name="lists"),
                path("add/", open_lists.add_entry, name="add_entry"),
                path("<int:pk>/", open_lists.edit_entry, name="edit_entry"),
            ]
        ),
    ),
]
