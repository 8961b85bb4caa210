"""The lives of the demo's pieces: what each will go through and when, and the going through it."""

import random
from dataclasses import dataclass
from functools import partial
from io import BytesIO
from typing import Any

from provenance.pieces import making, publishing, workflow
from provenance.pieces.models import (
    Edge,
    Finish,
    Form,
    LossCause,
    Method,
    Piece,
    PieceSet,
)
from provenance.record import journal
from provenance.record.album import add_photo
from provenance.record.scribe import Scribe
from shop.keeping.demo import hands, measures, script, weighed
from shop.keeping.demo.book import Book, chance_of
from shop.keeping.demo.measures import Size
from shop.keeping.demo.pictures import picture_of
from shop.keeping.demo.script import Line, Run

SCRIPTS = ("pieces_1", "pieces_2", "pieces_3", "pieces_4", "pieces_5")
GREEN = ("rough", "turn-green")


def plan(book: Book) -> None:
    """Plan for every run of the script to be cut on its day."""
    remarks = {name: tuple(said) for name, said in script.read("remarks")["remarks"][0].items()}
    for name in SCRIPTS:
        for table in script.read(name)["run"]:
            run = Run(**table)
            book.calendar.plan(run.ago, partial(_cut, book, run, remarks))


def _cut(book: Book, run: Run, remarks: dict[str, tuple[str, ...]], scribe: Scribe) -> None:
    """Cut the run's blanks and plan the life of each."""
    lines = run.lines()
    pieces = making.make(
        scribe,
        Form.objects.get(slug=run.form),
        run.method,
        [book.source(wood, uses_up=run.uses_up) for wood in run.wood],
        count=len(lines),
        words=run.said,
        **_facts(run),
    )
    for nth, (piece, line) in enumerate(zip(pieces, lines, strict=True)):
        if line.key:
            book.pieces[line.key] = piece
        # Its own chance: what else happens in the shop, or is added to the script, is none of it.
        chance = chance_of(f"{run.form} {run.ago} {nth}")
        Life(book, run, line, piece, remarks, chance).plan()


def _facts(run: Run) -> dict[str, Any]:
    return {
        "edge": Edge.objects.get(slug=run.edge) if run.edge else None,
        "grain": run.grain or ("end" if run.form in measures.END_GRAIN else "side"),
        "decoration": run.decoration,
        "public_words": run.words,
        "piece_set": PieceSet.objects.get_or_create(name=run.set)[0] if run.set else None,
    }


@dataclass(frozen=True)
class Step:
    """A move and the day on which it is made, in days before today."""

    slug: str
    ago: int


def steps(run: Run, line: Line, cure_days: int, chance: random.Random) -> list[Step]:
    """Return the moves of a piece's whole life, as far as the script lets it go.

    Days below zero lie in the future. A piece stops at its `stop`, or is lost after its `at`.
    """
    dries = line.dries or run.dries * chance.uniform(0.92, 1.12)
    wait = line.wait if line.wait is not None else run.wait
    rests = {
        "rough": chance.choice((0, 0, 1, 2)),
        "turn-green": 0,
        "turn": chance.choice((0, 1, 2, 3)),
        "call-dry": max(6, round(dries)),
        "true-up": wait if wait is not None else chance.randint(4, 48),
        "into-finish": chance.choice((0, 0, 1)),
        "finish": cure_days + chance.choice((2, 2, 3, 4)),  # a second coat, a Sunday
    }
    if run.method == Method.SINGLE:
        rests["into-finish"] = wait if wait is not None else chance.randint(2, 16)
    ago, found = run.ago, []
    last = line.stop or run.stop
    for move in (m for m in workflow.METHODS[run.method] if m.is_onward):
        if "blank" in (last, line.at):
            break
        ago -= rests[move.slug]
        found.append(Step(move.slug, ago))
        if move.target == last or move.slug == line.at:
            break
    return found


class Life:
    """One piece on its way through the shop."""

    def __init__(
        self,
        book: Book,
        run: Run,
        line: Line,
        piece: Piece,
        remarks: dict[str, tuple[str, ...]],
        chance: random.Random,
    ) -> None:
        self.book, self.run, self.line, self.piece = book, run, line, piece
        self.remarks, self.chance = remarks, chance
        self.size = measures.finished_size(run.form, line.size or run.size, chance)
        usual = measures.USUAL_FINISHES.get(run.form, measures.OTHER_FINISHES)
        slug = line.finish or run.finish or chance.choice(usual)
        self.finish = Finish.objects.get(slug=slug)

    def plan(self) -> None:
        """Plan each move, the loss if there is one, and what becomes of the piece."""
        found = steps(self.run, self.line, self.finish.cure_days, self.chance)
        calendar = self.book.calendar
        for step in found:
            if step.slug == self.line.slip:
                calendar.plan(step.ago + 3, partial(self._slip, step.slug))
            calendar.plan(step.ago, partial(self._move, step.slug))
            if step.slug == "into-finish" and self._wants_second_coat():
                calendar.plan(step.ago - 1, self._coat_again)
        self._plan_weighings(found)
        if self.line.lost:
            reached = found[-1].ago if found and self.line.at != "blank" else self.run.ago
            calendar.plan(reached - self.line.after, self._lose)
        elif found and found[-1].slug == "finish" and found[-1].ago >= 0:
            calendar.plan(found[-1].ago, self._offer)

    def _plan_weighings(self, found: list[Step]) -> None:
        """Let a rough-out be weighed until it is called dry, or lost."""
        rough = next((step for step in found if step.slug == "rough"), None)
        if rough is None:
            return
        dry = next((step for step in found if step.slug == "call-dry"), None)
        until = dry.ago if dry else rough.ago - self.line.after if self.line.lost else 0
        dries = self.line.dries or self.run.dries
        size = measures.rough_size(self.size)
        weighed.plan_weighings(self.book, self.piece, size, rough.ago, until, dries)

    def _move(self, slug: str, scribe: Scribe) -> None:
        chance = self.chance
        said = self.line.said if slug == self.line.at else ""
        if not said and chance.random() < 0.16:
            said = chance.choice(self.remarks.get(slug, ("",)))
        coats = chance.randint(2, measures.MOST_COATS.get(Finish.Kind(self.finish.kind), 2))
        workflow.move(
            [self.piece],
            slug,
            scribe,
            minutes=measures.minutes(slug, self.run.form, self.size.across, chance),
            words=said,
            facts=self._asked(slug),
            finish=self.finish if slug == "into-finish" else None,
            coats=coats if slug == "into-finish" and self.finish.kind != "none" else None,
        )

    def _asked(self, slug: str) -> dict[str, Any]:
        """Return what the move asks for: sizes, what it is mounted by, where it stands."""
        shelf = self.run.stored or f"Shelf {self.chance.choice('ABCDE')}"
        if slug in GREEN:
            rough = measures.rough_size(self.size) if slug == "rough" else self.size
            tenon = measures.tenon_mm(rough.across, rough.high)
            mount = {"mount": "tenon", "mount_diameter_mm": tenon, "stored": shelf}
            pith = {
                "rim_to_pith_mm": measures.rim_to_pith_mm(rough, self.run.form, self.piece.code)
            }
            return {**rough.facts("rough_" if slug == "rough" else ""), **mount, **pith}
        if slug in ("turn", "true-up"):
            return self.size.facts()
        if slug == "finish":
            price = self.line.price or self.run.price or measures.price(self.run.form, self.size)
            grown = self._oval() if self.run.method == Method.SINGLE else self.size
            return {**grown.facts(), "price_minor": 100 * price, "stored": "Show shelf"}
        return {"stored": "By the lathe"} if slug == "call-dry" else {}

    def _oval(self) -> Size:
        """Return the size of a piece that was turned green, after it went narrower in drying."""
        return Size(round(self.size.across * 0.97), self.size.high, self.size.wall)

    def _slip(self, slug: str, scribe: Scribe) -> None:
        """Make the move too early, and take it back."""
        workflow.move([self.piece], slug, scribe)
        workflow.undo([self.piece], scribe, words="Pressed for the wrong piece.")

    def _wants_second_coat(self) -> bool:
        thick = self.finish.kind in (Finish.Kind.OIL, Finish.Kind.FILM)
        return thick and not self.line.lost and self.chance.random() < 0.25

    def _coat_again(self, scribe: Scribe) -> None:
        words = "One more coat, thinner."
        workflow.add_coat(self.piece, scribe, self.finish, coats=1, words=words)

    def _lose(self, scribe: Scribe) -> None:
        cause = LossCause.objects.get(slug=self.line.lost)
        workflow.lose([self.piece], cause, scribe, words=self.line.said)

    def _offer(self, scribe: Scribe) -> None:
        """Name, show and publish the finished piece; put it up for sale or send it on its way."""
        self.piece.refresh_from_db()
        journal.amend(self.piece, self._particulars(), scribe)
        if self.line.photo:
            picture = BytesIO(
                picture_of(self.line.photo, self.piece.wood, self.piece.number.sequence)
            )
            caption = self.line.caption
            add_photo(self.piece.journal, picture, scribe, caption=caption, is_public=True)
        if not self.line.private:
            publishing.publish([self.piece], scribe)
        if self.line.hands:
            hands.send(self.book, self.piece, self.line.hands)
        elif not self.line.keep:
            self.book.shelf.append(self.piece)

    def _particulars(self) -> dict[str, Any]:
        """Return what this piece has for itself among its run."""
        line = self.line
        edge = Edge.objects.get(slug=line.edge) if line.edge else None
        particulars = {
            "title": line.title,
            "public_words": line.words,
            "edge": edge,
            "decoration": line.decoration,
            "use": line.use,
            "care_words": line.care,
            "notes": line.note,
        }
        return {name: value for name, value in particulars.items() if value}
