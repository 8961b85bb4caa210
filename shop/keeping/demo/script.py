"""The script of the demo: TOML tables read into typed lines, so that a slip is noticed at once."""

import tomllib
from dataclasses import dataclass, field
from typing import Any

from django.conf import settings


def read(name: str) -> dict[str, list[dict[str, Any]]]:
    """Return the tables of `fixtures/demo/<name>.toml`."""
    path = settings.BASE_DIR / "fixtures" / "demo" / f"{name}.toml"
    return tomllib.loads(path.read_text(encoding="utf-8"))


@dataclass
class Line:
    """What is particular about a piece of a run. Every default means: as the run is."""

    key: str = ""
    title: str = ""
    words: str = ""
    size: list[int] = field(default_factory=list)
    price: int = 0
    finish: str = ""
    edge: str = ""
    decoration: str = ""
    use: str = ""
    care: str = ""
    note: str = ""
    dries: int = 0
    wait: int | None = None
    stop: str = ""
    lost: str = ""
    at: str = ""
    after: int = 1
    said: str = ""
    slip: str = ""
    hands: list[str] = field(default_factory=list)
    keep: bool = False
    private: bool = False
    photo: str = ""
    caption: str = ""


@dataclass
class Run:
    """Pieces cut on one day from the same wood: `plain` ordinary ones and the `piece` lines.

    `wood` names sources: "maple A", "stock cocobolo", "piece core", "unknown", with " as neck"
    behind it for a role. `size` is what the finished pieces come to, about: [diameter or length,
    height or thickness, wall] in mm. `dries` and `wait` are days: on the shelf, and between dry
    and going on.
    """

    wood: list[str]
    form: str
    ago: int
    method: str = "twice"
    size: list[int] = field(default_factory=list)
    plain: int = 0
    dries: int = 220
    wait: int | None = None
    stop: str = ""
    price: int = 0
    finish: str = ""
    edge: str = ""
    grain: str = ""
    decoration: str = ""
    set: str = ""
    words: str = ""
    said: str = ""
    stored: str = ""
    uses_up: bool = False
    piece: list[dict[str, Any]] = field(default_factory=list)

    def lines(self) -> list[Line]:
        """Return a line for each piece: the particular ones spread among the ordinary."""
        lines = [Line(**table) for table in self.piece]
        for nth in range(self.plain):
            lines.insert(2 * nth, Line())
        return lines
