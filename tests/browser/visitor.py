"""Somebody at a browser, whose every page is looked over while they work.

What the shop must never do to anybody is noted by itself: an error or a warning of the browser, an
answer that fails, a page wider than its screen, a page with no or two headings, a thing too small
for a thumb, and whatever axe finds against WCAG 2.2 AA and its own list of good habits.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from urllib.parse import urljoin, urlsplit

from axe_playwright_python.base import AXE_FILE_PATH
from playwright.sync_api import (
    BrowserContext,
    ConsoleMessage,
    Locator,
    Page,
    Request,
    Response,
    WebError,
    expect,
)

#: No rule of these groups is left out.
AXE_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
#: What alone differs in the dark.
COLOURS = ["color-contrast", "link-in-text-block"]
#: Machines here are shared.
PATIENCE_MS = 15_000
expect.set_options(timeout=PATIENCE_MS)
AXE = AXE_FILE_PATH.read_text(encoding="utf-8")

RUN_AXE = """async (only) => {
  const found = await axe.run({runOnly: only, resultTypes: ["violations"]});
  return found.violations.map((v) =>
    `${v.id}: ${v.help}: ` + v.nodes.slice(0, 3).map((n) =>
      `${n.html.slice(0, 160)} (` +
      [...n.any, ...n.all, ...n.none].map((check) => check.message).join("; ") + ")"
    ).join(" | "));
}"""

#: A finger needs 44 px (WCAG 2.5.5); links in running text are as large as their text.
MEASURE = """({width, isPhone}) => {
  const found = [];
  const headings = document.querySelectorAll("h1").length;
  if (headings !== 1) found.push(`${headings} h1`);
  const page = document.documentElement.scrollWidth;
  if (page > width) {
    const wide = [...document.querySelectorAll("body *")].filter(
      (e) => e.getBoundingClientRect().right > width + 0.5 && e.checkVisibility());
    const names = wide.slice(-3).map((e) => e.outerHTML.slice(0, 100));
    found.push(`${page} px wide on ${width}: ${names.join(" | ")}`);
  }
  for (const picture of document.images) {
    if (picture.complete && !picture.naturalWidth) found.push(`no picture: ${picture.outerHTML}`);
  }
  if (!isPhone) return found;
  const written = "input:not([type=radio], [type=checkbox], [type=file]), select, textarea";
  for (const field of document.querySelectorAll(written)) {
    // A phone's browser zooms into a field whose type is smaller, and stays there.
    if (field.checkVisibility() && parseFloat(getComputedStyle(field).fontSize) < 16) {
      found.push(`type too small to write in: ${field.outerHTML.slice(0, 140)}`);
    }
  }
  const things = "button, [role=button], .button, summary, select, textarea, nav a, .rows a, " +
    ".pager a, .quick a, input:not([type=hidden])";
  for (const thing of document.querySelectorAll(things)) {
    // A link or a label may take the touches of its whole row, by what is laid over it.
    const isLaidOver = (part) => getComputedStyle(part, "::after").position === "absolute";
    const reach = [thing, ...(thing.labels ?? [])]
      .map((part) => (isLaidOver(part) && part.closest("li")) || part);
    const boxOf = (part) => part.getBoundingClientRect();
    const areaOf = (part) => boxOf(part).width * boxOf(part).height;
    const isTick = ["checkbox", "radio", "file"].includes(thing.type);
    const target = isTick ? reach.sort((a, b) => areaOf(b) - areaOf(a))[0] : reach[0];
    const box = boxOf(target);
    if (!target.checkVisibility({visibilityProperty: true}) || box.width * box.height < 4) continue;
    if (Math.min(box.width, box.height) < 43.5) {
      const size = `${Math.round(box.width)} × ${Math.round(box.height)}`;
      found.push(`${size} px is small for a thumb: ${target.outerHTML.slice(0, 140)}`);
    }
  }
  return found;
}"""


class Visitor:
    """One browser window with its own cookies. `taps` counts what was pressed to get about."""

    #: What axe has seen: a kind of page, on a kind of screen, is put before it once.
    seen: set[tuple[str, ...]] = set()

    def __init__(
        self, context: BrowserContext, origin: str, *, is_phone: bool, has_script: bool = True
    ) -> None:
        self.context = context
        self.origin = origin
        self.is_phone = is_phone
        self.has_script = has_script
        self.complaints: list[str] = []
        self.taps = 0
        self._expected: set[int] = set()
        context.set_default_timeout(PATIENCE_MS)
        context.on("console", self._hear)
        context.on("weberror", self._hear_error)
        context.on("response", self._see)
        context.on("requestfailed", self._see_failure)
        self.page = context.new_page()

    # What the visitor does

    def open(self, address: str) -> Page:
        """Go to an address by typing it, and look the page over."""
        self.page.goto(urljoin(self.origin, address), wait_until="load")
        self.look()
        return self.page

    def press(self, thing: Locator) -> None:
        """Put a finger or the pointer on something, where no new page is awaited."""
        if self.is_phone:
            thing.tap()
        else:
            thing.click()

    def follow(self, thing: Locator) -> Page:
        """Press something that leads to a page, and look that page over."""
        with self.page.expect_navigation(wait_until="load"):
            self.press(thing)
        self.taps += 1
        self.look()
        return self.page

    def link(self, name: str | re.Pattern[str]) -> Page:
        """Follow the first link of that name in the page's own part."""
        return self.follow(self.main.get_by_role("link", name=name).first)

    def button(self, name: str | re.Pattern[str]) -> Page:
        """Send a form by its button."""
        return self.follow(self.main.get_by_role("button", name=name).first)

    def room(self, name: str) -> Page:
        """Go to another room by the bar."""
        rooms = self.page.get_by_role("navigation", name="Rooms")
        return self.follow(rooms.get_by_role("link", name=name, exact=True))

    def type(self, **typed: str) -> None:
        """Fill in fields by their names in the form."""
        for name, words in typed.items():
            self.main.locator(f'[name="{name}"]').first.fill(words)

    def tick(self, name: str, value: str) -> None:
        """Choose among round or square ticks by the value that is sent."""
        tick = self.main.locator(f'input[name="{name}"][value="{value}"]')
        tick.scroll_into_view_if_needed()
        tick.check()

    def unfold(self, words: str | re.Pattern[str]) -> None:
        """Open what is folded away under these words, if it is closed."""
        fold = self.main.locator("details", has=self.page.locator("summary", has_text=words)).first
        if not fold.evaluate("fold => fold.open"):
            self.press(fold.locator("summary").first)

    # What the visitor sees

    @property
    def main(self) -> Locator:
        """The page's own part: without masthead and footer."""
        return self.page.locator("#main")

    @property
    def path(self) -> str:
        """The address shown, from the first slash on."""
        parts = urlsplit(self.page.url)
        return parts.path + (f"?{parts.query}" if parts.query else "")

    @property
    def heading(self) -> str:
        """What the page is called."""
        return self.page.locator("h1").inner_text()

    def says(self, words: str) -> bool:
        """Whether the page shows these words."""
        return words in re.sub(r"\s+", " ", self.page.locator("body").inner_text())

    @property
    def notice(self) -> str:
        """What the page says was done or went wrong."""
        return re.sub(r"\s+", " ", " ".join(self.page.locator(".notice").all_inner_texts()))

    def look(self) -> None:
        """Look the page over as it stands now."""
        screen = self.page.viewport_size
        assert screen
        where = f"{self.path} at {screen['width']} px"
        asked = {"width": screen["width"], "isPhone": self.is_phone}
        self._complain(where, self.page.evaluate(MEASURE, asked))
        kind = self._kind_of_page(screen["width"])
        if self.has_script and kind not in self.seen:
            self.seen.add(kind)
            self._complain(where, self.axe({"type": "tag", "values": AXE_TAGS}))

    def look_narrow(self) -> None:
        """Look whether the page still fits on the narrowest screen, or magnified (WCAG 1.4.10)."""
        screen = self.page.viewport_size
        assert screen
        self.page.set_viewport_size({"width": 320, "height": screen["height"]})
        found = self.page.evaluate(MEASURE, {"width": 320, "isPhone": False})
        self._complain(f"{self.path} at 320 px", found)
        self.page.set_viewport_size(screen)

    def look_in_the_dark(self) -> None:
        """Look at the page's colours as a phone shows it at night."""
        self.page.emulate_media(color_scheme="dark")
        self._complain(f"{self.path} in the dark", self.axe({"type": "rule", "values": COLOURS}))
        self.page.emulate_media(color_scheme="light")

    def axe(self, only: dict[str, Any]) -> list[str]:
        """Return what axe finds on the page as it stands now."""
        if not self.page.evaluate("'axe' in window"):
            self.page.evaluate(AXE)
        found: list[str] = self.page.evaluate(RUN_AXE, only)
        return found

    def _kind_of_page(self, width: int) -> tuple[str, ...]:
        shape = self.page.evaluate(
            """() => [document.querySelectorAll("form").length > 2,
                      ...[".error", ".notice", ".empty", "#main .row", "img", "details[open]",
                          ".button-bad", "#main table"]
                        .map((kind) => document.querySelector(kind) !== null)].join()"""
        )
        return re.sub(r"T?\d+X?", "N", urlsplit(self.page.url).path), str(width), shape

    @contextmanager
    def expecting(self, *statuses: int) -> Iterator[None]:
        """Let the shop answer with these statuses meanwhile."""
        self._expected.update(statuses)
        yield
        self._expected.difference_update(statuses)

    def _complain(self, where: str, found: list[str]) -> None:
        self.complaints += [f"{where}: {words}" for words in found]

    def _hear(self, message: ConsoleMessage) -> None:
        if message.type not in ("error", "warning"):
            return
        status = re.search(r"responded with a status of (\d+)", message.text)
        if not status:  # a failed answer is noted as such
            self.complaints.append(f"console: {message.text} ({message.location.get('url')})")

    def _hear_error(self, error: WebError) -> None:
        self.complaints.append(f"script: {error.error}")

    def _see(self, response: Response) -> None:
        if response.status >= 400 and response.status not in self._expected:
            self.complaints.append(f"{response.status} for {response.url}")

    def _see_failure(self, request: Request) -> None:
        if request.failure != "net::ERR_ABORTED":  # which is only a page left early, or a download
            self.complaints.append(f"{request.failure} for {request.url}")


def a_window(**more: Any) -> dict[str, Any]:
    """Return the options of a context, for a browser that speaks plain English."""
    return {"locale": "en-US", "reduced_motion": "reduce", **more}
