"""A lead's phone in the browser tests: what a thumb does on the crew's page, and what was told."""

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, Route, expect

from tests.browser import ARGUMENTS, CHROMIUM, PATIENCE_MS, PHONE, LiveSite

TWO_TAPS_MS = 420
LOOK_MS = 50
FACTS = "**/api/facts"
TOLD = """SELECT fact.id, kind, what, tapped_at, happened_at, photo_id,
    username AS who, unit AS house
    FROM scheduling_fact AS fact JOIN contractor_user AS person ON person.id = person_id
    LEFT JOIN jobs_job AS job ON job.id = job_id
    LEFT JOIN scheduling_factphoto AS picture ON picture.fact_id = fact.id"""
KEPT_PAGES = """async () => {
  const found = [];
  for (const name of await caches.keys())
    if (name.startsWith("pages-"))
      for (const request of await (await caches.open(name)).keys())
        found.push(new URL(request.url).pathname);
  return found.sort();
}"""


@dataclass
class Phone:
    """One tab on a phone."""

    page: Page
    site: LiveSite

    @property
    def context(self) -> BrowserContext:
        """The phone with all its tabs."""
        return self.page.context

    def sign_in(self, name: str) -> None:
        """Sign in by the form, open today's page, and wait until the phone has kept it."""
        self.site.sign_in(self.page, name, "/crew-days/")
        self.day_open()
        self.pages_kept(2)

    def day_open(self) -> None:
        """From the list to today's page."""
        self.page.locator(".days a").first.click()
        expect(self.page.locator("#main-form, #main-link, #main-done").first).to_be_attached()
        self.unsent_is(None)

    def pages_kept(self, least: int) -> list[str]:
        """The pages that are kept, as soon as there are so many."""
        for _ in range(PATIENCE_MS // LOOK_MS):
            pages = self.page.evaluate(KEPT_PAGES)
            if len(pages) >= least:
                return list(pages)
            self.page.wait_for_timeout(LOOK_MS)
        pytest.fail(f"kept after {PATIENCE_MS} ms: {pages}")

    def no_signal(self) -> None:
        """Into the attic."""
        self.context.set_offline(True)

    def signal(self) -> None:
        """Out of the attic."""
        self.context.set_offline(False)

    def facts_stopped(self) -> None:
        """The server is reached, but no fact gets there."""
        self.context.route(FACTS, lambda route: route.abort())

    def facts_let_go(self) -> None:
        """As before, and the phone notices that there is signal."""
        self.context.unroute(FACTS)
        self.no_signal()
        self.signal()

    def unsent_is(self, number: int | None) -> None:
        """The line says so: any number for None."""
        line = self.page.locator("#kept[data-unsent]")
        expect(line).to_be_attached()
        if number is not None:
            expect(line).to_have_attribute("data-unsent", str(number))

    def main(self) -> str:
        """Do the main action once; return what it was, "" at the end of the day."""
        form, link = self.page.locator("#main-form"), self.page.locator("#main-link")
        if form.is_visible():
            kind = form.get_attribute("data-kind") or ""
            form.locator("button").click()
            return kind
        if not link.is_visible():
            return ""
        href = link.get_attribute("href") or ""
        link.click()
        if href.startswith("#check-"):
            current = self.page.locator(".stop[data-current] [data-condition][data-answer='']")
            true = current.locator("form:has([name=answer][value=true]) button")
            true.first.click()
            return "checked"
        self.finish(href)
        return "finished"

    def finish(self, place: str) -> None:
        """Fill in the form of a finished step."""
        form = self.page.locator(f"{place} form")
        form.locator("[name=minutes]").fill("30")
        form.locator("button").click()

    def note(self, text: str, *, is_kept: bool = True) -> None:
        """Write a note for the office about the day, and wait until it is kept."""
        fold = self.page.locator("#day-note")
        if fold.get_attribute("open") is None:
            fold.locator("summary").click()
        fold.locator("textarea").fill(text)
        fold.locator("button").click()
        if is_kept:
            expect(fold.locator("textarea")).to_have_value("")

    def photo(self, path: Path) -> None:
        """Take a photo at the house that is open."""
        fold = self.page.locator("details[id^=photo-]").last
        fold.evaluate("one => { one.open = true; one.closest('.stop').open = true; }")
        fold.locator("[type=file]").set_input_files(path)
        fold.locator("button").click()


def told(site: LiveSite) -> list[dict[str, Any]]:
    """Every fact in the server's file, with who said it, of which house, and its picture if any."""
    with closing(sqlite3.connect(Path(site.environment["DATA_DIR"]) / "site.sqlite3")) as file:
        file.row_factory = sqlite3.Row
        facts = [dict(row) for row in file.execute(TOLD)]
    return [{**fact, "what": json.loads(fact["what"])} for fact in facts]


def texts(site: LiveSite) -> list[tuple[str, str]]:
    """Who wrote which notes."""
    notes = [fact for fact in told(site) if fact["kind"] == "note"]
    return [(fact["who"], fact["what"]["text"]) for fact in notes]


def answer_lost(route: Route) -> None:
    """Let the request through and lose the answer on the way."""
    route.fetch()
    route.abort()


def picture_make(path: Path) -> Path:
    """A large photograph with a place in it."""
    image = Image.effect_noise((2400, 1800), 12).convert("RGB")
    exif = Image.Exif()
    exif[0x010F] = "a camera"
    buffer = BytesIO()
    image.save(buffer, "JPEG", quality=60, exif=exif)
    path.write_bytes(buffer.getvalue())
    return path


@contextmanager
def phone_open(browser: Browser, site: LiveSite, folder: Path | None = None) -> Iterator[Phone]:
    """A phone; with a folder it is one that was closed and is opened again.

    Fails the test on an error of the script and on whatever the policy refuses.
    """
    if folder is None:
        context = browser.new_context(viewport=PHONE)  # type: ignore[arg-type]
    else:
        context = browser.browser_type.launch_persistent_context(
            folder,
            executable_path=str(CHROMIUM),
            args=ARGUMENTS,
            viewport=PHONE,  # type: ignore[arg-type]
        )
    context.set_default_timeout(PATIENCE_MS)
    complaints: list[str] = []
    context.on("weberror", lambda wrong: complaints.append(str(wrong.error)))
    context.on("console", lambda line: complaints.extend(_complaint(line)))
    try:
        yield Phone(context.pages[0] if context.pages else context.new_page(), site)
    finally:
        context.close()
        # Also where the test has failed already: then this is likely why.
        assert complaints == []


def _complaint(line: ConsoleMessage) -> list[str]:
    """An error, but for requests that failed: these are what is tried here."""
    is_request = "Failed to load resource" in line.text
    return [line.text] if line.type == "error" and not is_request else []
