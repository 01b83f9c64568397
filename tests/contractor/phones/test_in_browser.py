"""A lead's phone signed in by a link in a real browser: without script, by a double tap, ended."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from tests.browser import DESK, PHONE, LiveSite, chromium, follow, live_site, page_open
from tests.scheduling.crew_days.test_phone_in_browser import (
    LEAST_TARGET,
    LEAST_TEXT,
    PHONE_RULES,
    RULES,
    faults,
    is_within_the_screen,
)

__all__ = ["chromium", "live_site"]
pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def desk(chromium: Browser, live_site: LiveSite) -> Iterator[Page]:
    """Omar's desk, signed in."""
    with page_open(chromium, size=DESK) as page:
        live_site.sign_in(page, "omar", "/phones/")
        yield page


def link_made(desk: Page, live_site: LiveSite, name: str) -> str:
    """The address of a link that the office makes for a lead."""
    desk.goto(f"{live_site.url}/phones/")
    follow(desk.get_by_role("button", name=f"Make a link for {name}"))
    return desk.get_by_label("Address to send").input_value()


def test_the_office_s_pages(desk: Page, live_site: LiveSite) -> None:
    for size in (DESK, PHONE):
        desk.set_viewport_size(size)  # type: ignore[arg-type]
        desk.goto(f"{live_site.url}/phones/")
        assert faults(desk, RULES) == []
        assert is_within_the_screen(desk)
    link_made(desk, live_site, "Saul")
    assert desk.locator("img.qr").evaluate("e => e.naturalWidth") > 100
    assert faults(desk, RULES) == []
    assert is_within_the_screen(desk)
    desk.set_viewport_size(DESK)  # type: ignore[arg-type]


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_page_of_a_link_fits_gloves_and_sun(
    chromium: Browser, desk: Page, live_site: LiveSite, language: str
) -> None:
    address = link_made(desk, live_site, "Cleo")
    with page_open(chromium, size=PHONE) as page:
        live_site.sign_in(page, "lena", "/")  # so that it says who else is signed in
        page.goto(f"{address}?lang={language}")
        assert page.locator("html").get_attribute("lang") == language
        assert "Lena" in page.locator(".caution").inner_text()
        assert faults(page, PHONE_RULES) == []
        assert is_within_the_screen(page)
        assert page.evaluate(LEAST_TEXT) >= 18
        assert page.evaluate(LEAST_TARGET) >= 48


def test_a_phone_signs_in_without_script_stays_and_is_ended(
    chromium: Browser, desk: Page, live_site: LiveSite
) -> None:
    address = link_made(desk, live_site, "Cleo")
    with page_open(chromium, script=False, size=PHONE) as page:
        page.goto(address)
        follow(page.get_by_role("button"))
        assert page.url.endswith("/crew-days/")
        page.goto(address)  # the link that stands among the messages leads on
        assert page.url.endswith("/crew-days/")
        follow(page.get_by_role("link", name="Cleo"))
        assert "This is the phone in your hand." in page.content()
        desk.goto(f"{live_site.url}/phones/")
        follow(desk.get_by_role("button", name="Sign out the phone of Cleo"))
        page.goto(f"{live_site.url}/crew-days/")
        assert "/sign-in/" in page.url


def test_a_double_tap_makes_one_phone_that_is_in(
    chromium: Browser, desk: Page, live_site: LiveSite
) -> None:
    address = link_made(desk, live_site, "Cleo")
    with page_open(chromium, size=PHONE) as page:
        page.goto(address)
        page.get_by_role("button").dblclick(no_wait_after=True)
        page.wait_for_url("**/crew-days/")
        desk.goto(f"{live_site.url}/phones/")
        assert desk.get_by_role("button", name="Sign out the phone of Cleo").count() == 1
        page.goto(f"{live_site.url}/phones/mine/")
        assert faults(page, PHONE_RULES) == []
        assert is_within_the_screen(page)
        assert page.evaluate(LEAST_TEXT) >= 18
