"""Calls in a real browser: by keys, without script, on a phone; and tomorrow's crews."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, expect

from tests.browser import DESK, PHONE, LiveSite, chromium, live_site, page_open

__all__ = ["chromium", "live_site"]
pytestmark = [pytest.mark.browser, pytest.mark.usefixtures("thursday_morning")]
SITE_DATA = "tests.jobs.readiness.call_site:load"
# WCAG 2.2, levels A and AA.
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
PLACES = ("/readiness/", "/evening/")


def test_one_key_records_an_answer_and_goes_on(chromium: Browser, live_site: LiveSite) -> None:
    with page_open(chromium) as page:
        live_site.sign_in(page, "omar", "/readiness/")
        asked = page.locator("[data-ask]")
        first, second = (asked.nth(n).get_attribute("id") for n in (0, 1))
        page.keyboard.press("j")
        expect(page.locator(f"#{first}")).to_be_focused()
        with page.expect_navigation():
            page.keyboard.press("d")
        expect(page.get_by_text("Saved.")).to_be_visible()
        expect(page.locator(f"#{second}")).to_be_focused()
        page.keyboard.press("t")
        page.keyboard.type("dntj: the roofer's")
        with page.expect_navigation():
            page.keyboard.press("Enter")
        expect(page.get_by_text("Rosa Reyes (Omar): dntj: the roofer's")).to_be_visible()
        page.keyboard.press("j")
        with page.expect_navigation():
            page.keyboard.press("n")
        expect(page.get_by_text("Others first until")).to_be_visible()


def test_without_script_on_a_phone(chromium: Browser, live_site: LiveSite) -> None:
    with page_open(chromium, script=False, size=PHONE) as page:
        live_site.sign_in(page, "omar", "/evening/")
        ask = page.locator("[data-ask]").first
        name = ask.locator("strong").first.inner_text()
        ask.get_by_role("button", name="They say it is done").click()
        expect(page.get_by_text("Saved.")).to_be_visible()
        expect(page.locator("[data-ask] strong").filter(has_text=name)).to_have_count(0)


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
@pytest.mark.parametrize("place", PLACES)
def test_no_barrier_and_no_page_wider_than_the_screen(
    chromium: Browser, live_site: LiveSite, place: str, size: dict[str, int]
) -> None:
    with page_open(chromium, size=size) as page:
        live_site.sign_in(page, "omar", place)
        assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
        found = Axe().run(page, options=RULES)
        assert found.violations_count == 0, found.generate_report()
