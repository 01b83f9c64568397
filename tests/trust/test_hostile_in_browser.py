"""Hostile texts in a real browser: no dialog, no script of theirs, no refusal by the policy."""

import json

import pytest
from playwright.sync_api import Browser, Dialog, Page, Request

from tests.browser import DESK, PHONE, LiveSite, chromium, live_site, page_open
from tests.trust.disk import Figure, figure

__all__ = ["chromium", "figure", "live_site"]
pytestmark = pytest.mark.browser
SITE_DATA = "tests.trust.hostile:site_load"
PRINT_ADDRESSES = "from tests.trust.hostile import addresses_print as f; f()"


@pytest.fixture(scope="module")
def addresses(live_site: LiveSite) -> dict[str, list[str]]:
    """The addresses that hold the texts, by who opens them; nobody opens the link."""
    found: dict[str, list[str]] = json.loads(
        live_site.manage("shell", "-v", "0", "-c", PRINT_ADDRESSES)
    )
    return found


def harm_on(page: Page, url: str, asked: list[str], dialogs: list[str]) -> list[str]:
    """Open a page and return what the texts did there."""
    answer = page.goto(url)
    assert answer is not None
    assert answer.status == 200, url
    page.mouse.move(300, 300)
    harm = [f"{url}: dialog {text}" for text in dialogs]
    harm += [f"{url}: asked for {one}" for one in asked if "127.0.0.1" not in one]
    if page.evaluate("window.owned !== undefined"):
        harm.append(f"{url}: a script ran")
    if page.url != url:
        harm.append(f"{url}: led on to {page.url}")
    return harm


@pytest.mark.parametrize("who", ["omar", "cleo", ""])
def test_nothing_runs(
    chromium: Browser,
    live_site: LiveSite,
    addresses: dict[str, list[str]],
    who: str,
    figure: Figure,
) -> None:
    harm: list[str] = []
    with page_open(chromium, size=DESK if who == "omar" else PHONE) as page:
        asked: list[str] = []
        dialogs: list[str] = []

        def dialog_note(dialog: Dialog) -> None:
            dialogs.append(dialog.message)
            dialog.dismiss()

        def request_note(request: Request) -> None:
            if not request.url.startswith("data:"):
                asked.append(request.url)

        page.on("dialog", dialog_note)
        page.on("request", request_note)
        if who:
            live_site.sign_in(page, who, addresses[who][0])
        for address in addresses[who]:
            harm += harm_on(page, f"{live_site.url}{address}", asked, dialogs)
    figure(f"pages opened as {who or 'superintendent'}, harm", (len(addresses[who]), harm))
    assert harm == []
