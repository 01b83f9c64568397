"""The Today page in a real browser: looks again by itself, keeps what is open, works plain."""

from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from tests.browser import DESK, PHONE, LiveSite, chromium, live_site, page_open

__all__ = ["chromium", "live_site"]
pytestmark = pytest.mark.browser
SITE_DATA = "tests.scheduling.today.today_live:load"
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}
NOW = "htmx.trigger('#today', 'look-now')"


@pytest.fixture
def today(chromium: Browser, live_site: LiveSite) -> Iterator[Page]:
    """Omar's desk, at the day as it goes."""
    with page_open(chromium) as page:
        live_site.sign_in(page, "omar", "/today/")
        yield page


def say(site: LiveSite, text: str) -> None:
    """Let the crew leave a note at its second house."""
    code = f"from tests.scheduling.today.today_live import say as f; f('note', 'Lot 2', {text!r})"
    site.manage("shell", "-v", "0", "-c", code.replace(repr(text), repr({"text": text})))


def looked(page: Page) -> str:
    return page.locator("#looked").inner_text()


def test_what_was_opened_stays_open_and_the_focus_where_it_was(
    today: Page, live_site: LiveSite
) -> None:
    second = today.locator("#today details").nth(1)
    second.locator("summary").click()
    house = today.get_by_role("link", name="Quarry Lane 1, Lot 2")
    house.focus()
    say(live_site, "the gate is shut")
    expect(today.get_by_text("the gate is shut")).to_have_count(0)
    today.evaluate(NOW)
    expect(today.get_by_text("the gate is shut")).to_be_visible()
    expect(house).to_be_focused()
    assert today.locator("#today details").nth(1).get_attribute("open") is not None


def test_where_nothing_changed_only_the_time_does(today: Page) -> None:
    parts, before = today.locator("#today"), looked(today)
    parts.evaluate("element => element.dataset.same = 'yes'")
    mark = parts.get_attribute("hx-get")
    while looked(today) == before:  # it tells seconds
        with today.expect_response("**/today/**"):
            today.evaluate(NOW)
    # Every two minutes all is told anew; should that have been just now, the mark is another.
    is_same, mark_now = parts.evaluate(
        "element => [element.dataset.same === 'yes', element.getAttribute('hx-get')]"
    )
    assert is_same == (mark_now == mark)


def test_a_page_that_reaches_nobody_says_so(chromium: Browser, live_site: LiveSite) -> None:
    page = chromium.new_page()  # whose complaints about the failed answer are meant
    live_site.sign_in(page, "omar", "/today/")
    expect(page.locator("#stale")).to_be_hidden()
    page.route("**/today/**", lambda route: route.fulfill(status=503, body=""))
    page.evaluate(NOW)
    expect(page.locator("#stale")).to_be_visible()
    expect(page.locator("#today")).to_contain_text("North")
    page.unroute("**/today/**")
    page.evaluate(NOW)
    expect(page.locator("#stale")).to_be_hidden()
    page.close()


def test_signed_out_meanwhile_it_goes_to_the_sign_in(today: Page) -> None:
    today.context.clear_cookies()
    with today.expect_navigation():
        today.evaluate(NOW)
    expect(today.get_by_role("button", name="Sign in")).to_be_visible()


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_it_reads_well_for_everybody(
    chromium: Browser, live_site: LiveSite, size: dict[str, int]
) -> None:
    with page_open(chromium, size=size) as page:
        live_site.sign_in(page, "omar", "/today/")
        assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
        found = Axe().run(page, options=RULES)
        assert found.violations_count == 0, found.generate_report()


def test_a_crew_turned_away_is_marked_as_seen_without_script(
    chromium: Browser, live_site: LiveSite
) -> None:
    with page_open(chromium, script=False) as page:
        live_site.sign_in(page, "omar", "/today/")
        expect(page.get_by_text("North was turned away at Quarry Lane 1, Lot 1")).to_be_visible()
        expect(page.locator("#by-itself")).to_be_hidden()
        page.get_by_role("button", name="Mark as seen").click()
        expect(page.get_by_text("Marked as seen by Omar.")).to_be_visible()
        expect(page.get_by_role("button", name="Mark as seen")).to_have_count(0)
