"""The table of methods: which moves each knows, what a move asks, what it prints."""

from dataclasses import dataclass

from provenance.pieces.models import Method, Stage


@dataclass(frozen=True)
class Move:
    """One step of a method: where it may start, where it leads, what to ask, what to print."""

    slug: str
    label: str
    done: str
    sources: tuple[Stage, ...]
    target: Stage
    asks: tuple[str, ...] = ()
    prints: str = ""
    is_onward: bool = True


ROUGH_SIZES = ("rough_diameter_mm", "rough_height_mm", "rough_wall_mm")
MOUNTING = ("mount", "mount_diameter_mm")
PITH = ("rim_to_pith_mm",)
SIZES = ("diameter_mm", "height_mm", "wall_mm")

ROUGH = Move(
    "rough", "Rough it out", "Roughed out", (Stage.BLANK,), Stage.DRYING,
    (*ROUGH_SIZES, *PITH, *MOUNTING, "stored"), "rough-out tag",
)  # fmt: skip
TURN_GREEN = Move(
    "turn-green", "Turn it green", "Turned green and thin", (Stage.BLANK,), Stage.DRYING,
    (*SIZES, *PITH, *MOUNTING, "stored"), "rough-out tag",
)  # fmt: skip
TURN_DRY = Move("turn", "Turn it", "Turned", (Stage.BLANK,), Stage.TURNED, SIZES)
CALL_DRY = Move("call-dry", "Call it dry", "Dry", (Stage.DRYING,), Stage.DRY, ("stored",))
TRUE_UP = Move("true-up", "True it up", "Trued up", (Stage.DRY,), Stage.TRUED, SIZES)
BACK_TO_DRY = Move(
    "back-to-dry", "Back to the drying shelf", "Put back on the drying shelf",
    (Stage.DRY, Stage.TRUED), Stage.DRYING,
    ("stored",), is_onward=False,
)  # fmt: skip
FINISHED = Move(
    "finish", "Call it finished", "Finished", (Stage.IN_FINISH,), Stage.FINISHED,
    (*SIZES, "price_minor", "stored"), "provenance card",
)  # fmt: skip
REFINISH = Move(
    "refinish", "Finish it again", "Taken back to be finished again", (Stage.FINISHED,),
    Stage.IN_FINISH, is_onward=False,
)  # fmt: skip


def _into_finish(*sources: Stage) -> Move:
    return Move(
        "into-finish", "Put it in finish", "First coat on", sources, Stage.IN_FINISH, ("finish",)
    )


METHODS: dict[str, tuple[Move, ...]] = {
    Method.TWICE: (
        ROUGH, CALL_DRY, TRUE_UP, _into_finish(Stage.TRUED), FINISHED, BACK_TO_DRY, REFINISH,
    ),
    Method.SINGLE: (
        TURN_GREEN, CALL_DRY, _into_finish(Stage.DRY), FINISHED, BACK_TO_DRY, REFINISH,
    ),
    Method.STRAIGHT: (TURN_DRY, _into_finish(Stage.TURNED), FINISHED, REFINISH),
}  # fmt: skip


def stages_of(method: str) -> tuple[Stage, ...]:
    """Return the stages that a piece of this method passes, in order, without loss."""
    return (Stage.BLANK, *(m.target for m in METHODS[method] if m.is_onward))


def step_of(method: str, slug: str) -> Move | None:
    """Return the move of that slug, whether or not a piece's stage allows it now."""
    return next((m for m in METHODS[method] if m.slug == slug), None)


LABELS: dict[str, str] = {m.slug: m.label for moves in METHODS.values() for m in moves}
DONE: dict[str, str] = {m.slug: m.done for moves in METHODS.values() for m in moves}
