"""Phone page, checklist and the office's lists in a real browser, with and without script."""

from collections.abc import Iterator
from datetime import timedelta
from functools import partial
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, Request, expect

from tests.browser import DESK, PHONE, LiveSite, chromium, follow, live_site, page_open
from tests.morning import yard_today
from tests.scheduling.crew_days.phone_site import MAKE_LINK

__all__ = ["chromium", "live_site"]
pytestmark = pytest.mark.browser
SITE_DATA = "tests.scheduling.crew_days.phone_site:load"
# WCAG 2.2 AA, and on the phone also 7:1 (success criterion 1.4.6 of level AAA).
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}
PHONE_RULES = {**RULES, "rules": {"color-contrast-enhanced": {"enabled": True}}}
LANGUAGES = ("en", "es")
# The least size in px of any text that is shown, and of anything to be tapped.
LEAST_TEXT = """() => Math.min(...[...document.querySelectorAll('main *')]
  .filter(e => [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim()) && e.offsetParent)
  .map(e => parseFloat(getComputedStyle(e).fontSize)))"""
LEAST_TARGET = """() => Math.min(...[...document.querySelectorAll(
    'main button, main .button, nav.jump a')]
  .filter(e => e.offsetParent || getComputedStyle(e.parentElement).position === 'fixed')
  .map(e => e.getBoundingClientRect().height).filter(h => h > 0))"""


@pytest.fixture(scope="module")
def secret(live_site: LiveSite) -> str:
    return live_site.manage("shell", "-v", "0", "-c", MAKE_LINK).strip()


@pytest.fixture(scope="module")
def lead(chromium: Browser, live_site: LiveSite) -> Iterator[Page]:
    """Cleo's phone, signed in."""
    with page_open(chromium, size=PHONE) as page:
        live_site.sign_in(page, "cleo", "/crew-days/")
        yield page


@pytest.fixture(scope="module")
def desk(chromium: Browser, live_site: LiveSite) -> Iterator[Page]:
    """Omar's desk, signed in."""
    with page_open(chromium, size=DESK) as page:
        live_site.sign_in(page, "omar", "/jobs/")
        yield page


def note(asked: list[str], request: Request) -> None:
    asked.append(request.url)


def faults(page: Page, rules: dict[str, Any]) -> list[str]:
    """What axe finds wrong, one line for each, with the first place."""
    page.wait_for_load_state()  # without its styles a page has other faults
    found = Axe().run(page, options=rules).response["violations"]
    return [f"{fault['id']}: {fault['nodes'][0]['html'][:200]}" for fault in found]


def is_within_the_screen(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"))


def speak(page: Page, language: str) -> None:
    """Choose the language with the button on top, where it is not spoken already."""
    if page.locator("html").get_attribute("lang") != language:
        follow(page.locator(f"form.language button[lang={language}]"))
        assert page.locator("html").get_attribute("lang") == language


def drawn(page: Page) -> None:
    """Wait until the script has drawn the page by what the phone keeps."""
    expect(page.locator("#kept[data-unsent]")).to_be_attached()


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_crew_s_day_on_a_phone(lead: Page, live_site: LiveSite, language: str) -> None:
    lead.goto(f"{live_site.url}/crew-days/")
    speak(lead, language)
    assert faults(lead, PHONE_RULES) == []
    assert is_within_the_screen(lead)
    follow(lead.locator(".days a").first)
    drawn(lead)
    assert lead.locator("details.stop").count() == 2
    assert faults(lead, PHONE_RULES) == []
    assert is_within_the_screen(lead)
    assert lead.evaluate(LEAST_TEXT) >= 18
    assert lead.evaluate(LEAST_TARGET) >= 48


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_checklist_on_a_phone(
    chromium: Browser, live_site: LiveSite, secret: str, language: str
) -> None:
    with page_open(chromium, size=PHONE) as page:
        page.goto(f"{live_site.url}/c/{secret}/")
        house = page.locator("form").get_attribute("action") or ""
    for address in (f"/c/{secret}/", house.replace("?lang=en", "thanks/"), "/code/"):
        with page_open(chromium, size=PHONE) as page:
            asked: list[str] = []
            page.on("request", partial(note, asked))
            page.goto(f"{live_site.url}{address}?lang={language}")
            assert page.locator("html").get_attribute("lang") == language
            assert faults(page, PHONE_RULES) == []
            assert is_within_the_screen(page)
            assert len([url for url in asked if not url.startswith("data:")]) == 2


def test_a_link_that_opens_nothing(chromium: Browser, live_site: LiveSite) -> None:
    # The browser itself writes a 404 to its console, which page_open would take for a fault.
    page = chromium.new_page()
    assert page.goto(f"{live_site.url}/c/wrong/")
    assert faults(page, PHONE_RULES) == []
    page.close()


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_the_office_s_pages(desk: Page, live_site: LiveSite, size: dict[str, int]) -> None:
    desk.set_viewport_size(size)  # type: ignore[arg-type]
    for address in ("/jobs/", "/jobs/1/", "/jobs/3/", "/readiness/"):
        desk.goto(f"{live_site.url}{address}")
        assert faults(desk, RULES) == [], address
        assert is_within_the_screen(desk), address


def test_a_link_is_made_from_the_job_with_its_qr_code(desk: Page, live_site: LiveSite) -> None:
    desk.goto(f"{live_site.url}/jobs/1/")
    follow(desk.get_by_role("button", name="Make a checklist link"))
    assert desk.locator("img.qr").evaluate("e => e.naturalWidth") > 100
    assert faults(desk, RULES) == []


def test_a_superintendent_answers_without_script(
    chromium: Browser, live_site: LiveSite, secret: str
) -> None:
    promised = yard_today() + timedelta(days=3)
    with page_open(chromium, script=False, size=PHONE) as page:
        page.goto(f"{live_site.url}/c/{secret}/")
        first = page.locator("fieldset").filter(has_text="chases and dropped soffits")
        first.get_by_label("Done").check()
        second = page.locator("fieldset").filter(has_text="roof dried in")
        second.locator("input[type=date]").fill(promised.isoformat())
        page.get_by_label("Your name").first.fill("Joe Park")
        follow(page.get_by_role("button", name="Send answers").first)
        assert "Your answers are with the office" in page.content()
        follow(page.get_by_role("link", name="Back to the list"))
        assert "reported done (Joe Park, by the link of Rosa Reyes)" in page.content()
        assert "promised for" in page.content()


@pytest.mark.parametrize("script", [True, False])
def test_a_lead_sees_a_thing_done_in_one_tap(
    chromium: Browser, live_site: LiveSite, script: bool
) -> None:
    thing = "junction boxes covered" if script else "recessed lights rated"
    with page_open(chromium, script=script, size=PHONE) as page:
        live_site.sign_in(page, "cleo", "/crew-days/")
        speak(page, "en")
        follow(page.locator(".days a").first)
        item = page.locator("ul.see > li").filter(has_text=thing).first
        true = item.get_by_role("button", name="True")
        if not script:
            follow(true)
        else:  # said at once, and sent behind it
            drawn(page)
            true.click()
            page.locator("[data-answer=true]").first.wait_for()
            page.locator("#kept[data-unsent='0']").wait_for()
            page.reload()
        assert "seen done (Cleo)" in page.content()
