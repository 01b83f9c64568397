"""The office's way through a week in a real browser, with and without script."""

import re
from collections.abc import Iterator
from datetime import date

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from contractor.workdays import IsoWeek, parse_iso_week
from tests.browser import DESK, PHONE, LiveSite, chromium, live_site, page_open

__all__ = ["chromium", "live_site"]
pytestmark = pytest.mark.browser
SITE_DATA = "tests.scheduling.weeks.office_site:load"
# WCAG 2.2, levels A and AA; contrast of at least 4.5:1 is its criterion 1.4.3.
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}
PRINT_WEEK = "from tests.scheduling.weeks.office_site import week_print as f; f()"
SOLVE_MS = 60_000
with_and_without_script = pytest.mark.parametrize("script", [True, False], ids=["script", "plain"])


@pytest.fixture(scope="module")
def week(live_site: LiveSite) -> IsoWeek:
    """The week ahead, as the site has it."""
    return parse_iso_week(live_site.manage("shell", "-v", "0", "-c", PRINT_WEEK).strip())


@pytest.fixture
def office(chromium: Browser, live_site: LiveSite, week: IsoWeek, script: bool) -> Iterator[Page]:
    """Omar's desk, at the week ahead."""
    with page_open(chromium, script=script, refusals=(422,)) as page:
        live_site.sign_in(page, "omar", f"/week/{week}/")
        yield page


def whereabouts(site: LiveSite, unit: str) -> str:
    """Where a house stands in the draft: crew and day."""
    code = f"from tests.scheduling.weeks.office_site import whereabouts_print as f; f({unit!r})"
    return site.manage("shell", "-v", "0", "-c", code).strip()


def choose(page: Page, crew: str, day: date) -> None:
    """Choose a crew and a day in the form."""
    page.get_by_label("Crew", exact=True).select_option(label=crew)
    page.get_by_label("Day", exact=True).select_option(str(day))
    page.get_by_role("button", name="Move it there").click()


@with_and_without_script
def test_a_strip_explains_itself(office: Page, script: bool) -> None:
    office.get_by_role("link", name="Quarry Lane 1, Lot 1").click()
    expect(office.get_by_text("Why North?")).to_be_visible()
    assert ("/stop/" in office.url) is not script
    if script:
        office.get_by_role("link", name="Close").click()
        expect(office.get_by_text("Why North?")).to_have_count(0)


@with_and_without_script
def test_a_move_is_refused_then_made(
    office: Page, live_site: LiveSite, week: IsoWeek, script: bool
) -> None:
    days = week.days()
    before = whereabouts(live_site, "Lot 1")
    office.locator(".stop").filter(has_text="Lot 1").get_by_role("link", name="Move…").click()
    expect(office.get_by_role("heading", name="Move Quarry Lane 1, Lot 1")).to_be_visible()
    assert ("/move/" in office.url) is not script
    choose(office, "South", days[1])
    expect(office.get_by_text("Nothing was changed.")).to_be_visible()
    expect(office.get_by_text("That breaks a rule.")).to_be_visible()
    assert whereabouts(live_site, "Lot 1") == before
    goal = 2 if script else 3
    choose(office, "South", days[goal])
    expect(office.get_by_text("It is now on")).to_be_visible()
    assert "/move/" not in office.url
    assert whereabouts(live_site, "Lot 1") == f"South {days[goal]}"


@with_and_without_script
def test_a_plan_is_asked_for_watched_and_accepted(
    office: Page, live_site: LiveSite, script: bool
) -> None:
    office.get_by_label("Seconds at most").fill("3")
    office.get_by_role("button", name=re.compile("Plan from week")).click()
    expect(office.get_by_role("heading", name=re.compile("A plan for weeks"))).to_be_visible()
    accept = office.get_by_role("button", name="Accept into the draft")
    expect(accept).to_be_visible(timeout=SOLVE_MS)
    expect(office.get_by_text("What it costs")).to_be_visible()
    accept.click()
    expect(office.get_by_text(re.compile("^Accepted"))).to_be_visible()
    assert "/week/" in office.url
    assert whereabouts(live_site, "Lot 2") != "shelf"


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_pages_are_within_reach_of_everybody(
    chromium: Browser, live_site: LiveSite, week: IsoWeek, size: dict[str, int]
) -> None:
    with page_open(chromium, size=size) as page:
        live_site.sign_in(page, "omar", f"/week/{week}/")
        move = page.get_by_role("link", name="Move…").first.get_attribute("href")
        stop = page.locator(".strip-name").first.get_attribute("href")
        for path in (stop, f"/week/{week}/", move, "/runs/1/"):
            page.goto(f"{live_site.url}{path}")
            found = Axe().run(page, options=RULES)
            assert found.violations_count == 0, found.generate_report()
            assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]


def test_an_hour_is_equally_high_everywhere(
    chromium: Browser, live_site: LiveSite, week: IsoWeek
) -> None:
    with page_open(chromium) as page:
        live_site.sign_in(page, "omar", f"/week/{week}/")
        heights = page.evaluate(
            """() => [...document.querySelectorAll('.stack .block')].map(block => [
                Number(getComputedStyle(block).getPropertyValue('--m')),
                block.getBoundingClientRect().height])"""
        )
    assert len(heights) > 3
    assert {round(height / minutes, 2) for minutes, height in heights if minutes} == {0.69}
