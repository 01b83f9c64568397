"""The crew's day in Chromium on a phone: sizes and contrast measured, without script, by key."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.browser import DESK, PHONE, LiveSite, chromium, follow, live_site, page_open
from tests.scheduling.crew_days.test_phone_in_browser import drawn, is_within_the_screen, speak

__all__ = ["chromium", "live_site"]
pytestmark = pytest.mark.browser
SITE_DATA = "tests.scheduling.crew_days.phone_site:load"

OPEN_ALL = "document.querySelectorAll('details').forEach(d => d.open = true)"
# Each text that is shown with its size in px and its contrast against what lies under it, by
# WCAG 2's formula for sRGB (success criterion 1.4.6); colours are those computed.
TEXTS = """() => {
  const rgba = (text) => {
    const part = text.match(/[\\d.]+/g).map(Number);
    return [...part.slice(0, 3), part[3] ?? 1];
  };
  const over = (top, under) => under.map((c, i) => top[i] * top[3] + c * (1 - top[3]));
  const ground = (e) => {
    const layers = [];
    for (let at = e; at; at = at.parentElement)
      layers.push(rgba(getComputedStyle(at).backgroundColor));
    return layers.reverse().reduce((under, top) => over(top, under), [255, 255, 255]);
  };
  const linear = (c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4);
  const light = (rgb) => {
    const [r, g, b] = rgb.map((c) => linear(c / 255));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const isShown = (e) => e.getClientRects().length && !e.closest('.skip, script');
  const hasText = (e) =>
    [...e.childNodes].some((n) => n.nodeType === 3 && n.data.trim()) ||
    e.matches('input:not([type=hidden]), textarea');
  const measured = (e) => {
    const style = getComputedStyle(e);
    const under = ground(e);
    const [a, b] = [light(over(rgba(style.color), under)), light(under)];
    return {
      words: (e.textContent.trim() || e.name || e.tagName).slice(0, 40),
      size: parseFloat(style.fontSize),
      contrast: (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05),
    };
  };
  return [...document.querySelectorAll('body *')]
    .filter((e) => hasText(e) && isShown(e))
    .map(measured);
}"""
# What can be tapped, with the sides of what takes the tap: of a tick its whole label.
TARGETS = """() => {
  const all = 'a, button, summary, input:not([type=hidden]), textarea';
  const tapped = (e) => (e.matches('[type=radio], [type=checkbox]') ? e.closest('label') : e);
  const measured = (e) => {
    const { width, height } = e.getBoundingClientRect();
    return { words: (e.textContent.trim() || e.name || '').slice(0, 40), width, height };
  };
  return [...document.querySelectorAll(`main :is(${all}), header :is(${all})`)]
    .filter((e) => e.getClientRects().length)
    .map(tapped)
    .map(measured);
}"""


@pytest.fixture(scope="module")
def lead(chromium: Browser, live_site: LiveSite) -> Iterator[Page]:
    """Cleo's phone at today's work, without script."""
    with page_open(chromium, script=False, size=PHONE, refusals=(400,)) as page:
        live_site.sign_in(page, "cleo", "/crew-days/")
        follow(page.get_by_text("Open today's work"))
        yield page


def main_button(page: Page) -> Locator:
    """The one main action."""
    return page.locator("#thumb .main:visible")


@pytest.mark.parametrize("language", ["en", "es"])
def test_texts_contrasts_and_targets_are_those_of_a_phone_in_the_sun(
    chromium: Browser, live_site: LiveSite, language: str
) -> None:
    with page_open(chromium, size=PHONE) as page:
        live_site.sign_in(page, "cleo", "/crew-days/")
        speak(page, language)
        addresses = ("/crew-days/", page.locator(".days a").first.get_attribute("href"))
        for address in addresses:
            page.goto(f"{live_site.url}{address}")
            drawn(page)
            page.evaluate(OPEN_ALL)
            texts, targets = page.evaluate(TEXTS), page.evaluate(TARGETS)
            assert [text for text in texts if text["size"] < 18] == []
            assert [text for text in texts if text["contrast"] < 7] == []
            low = [t for t in targets if t["height"] < 48 or t["width"] < 48]
            assert low == []
            assert is_within_the_screen(page)
        assert len(texts) > 100
        assert len(targets) > 60
        speak(page, "en")


def test_a_step_from_set_out_to_finished_without_script(lead: Page) -> None:
    assert "Set out: 1." in main_button(lead).inner_text()
    assert lead.locator("details.stop[open]").count() == 1
    follow(main_button(lead))
    follow(main_button(lead))
    assert "Look first" in main_button(lead).inner_text()
    while "Look first" in main_button(lead).inner_text():
        item = lead.locator("details.stop[data-current] .see > li:not([data-answer=true])")
        form = item.locator("form:has(> button:text-is('True'))").first
        paper = form.locator("input[name=document]")
        if paper.count():
            paper.fill("12 of today")
        follow(form.locator("button"))
    assert main_button(lead).inner_text() == "Start: net"
    follow(main_button(lead))
    assert main_button(lead).inner_text() == "Finished: net"
    main_button(lead).click()
    form = lead.locator("details.stop[data-current] form[data-kind=finished][data-step=net]")
    form.locator("input[name=minutes]").fill("55")
    follow(form.locator("button"))
    assert "55 min" in lead.locator("[data-step=net] .said").first.inner_text()
    assert "Look first" in main_button(lead).inner_text()  # at what the next step waits for


def test_wrong_input_is_said_beside_the_form_without_script(lead: Page) -> None:
    away = lead.locator("details.stop[data-current] > details[id^=away-]")
    away.locator("summary").click()
    follow(away.locator("button"))
    again = lead.locator("details[id^=away-]:has(.errors)")
    assert again.get_attribute("open") is not None
    assert "Say what is missing, or why" in again.locator(".errors").inner_text()
    assert lead.get_by_role("link", name="Back to what you typed").is_visible()


def test_everything_is_reached_by_key(chromium: Browser, live_site: LiveSite) -> None:
    with page_open(chromium, size=PHONE) as page:
        live_site.sign_in(page, "cleo", "/crew-days/")
        follow(page.get_by_text("Open today's work"))
        second = page.locator("details.stop").nth(1)
        drawn(page)
        assert second.get_attribute("open") is None
        second.locator("summary").first.focus()
        page.keyboard.press("Enter")
        expect(second).to_have_attribute("open", "")
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.closest('details.stop').id").startswith("stop")
        outline = "getComputedStyle(document.activeElement).outlineWidth"
        assert page.evaluate(outline) == "3px"


def test_paper_shows_every_stop_and_no_form(chromium: Browser, live_site: LiveSite) -> None:
    with page_open(chromium, size=DESK) as page:
        live_site.sign_in(page, "omar", "/crew-days/")
        page.goto(f"{live_site.url}/crew-days/")
        follow(page.locator(".days a").first)
        page.emulate_media(media="print")
        for stop in page.locator("details.stop").all():
            assert stop.locator(".address").first.bounding_box() is not None
            assert stop.locator(".work > li").first.bounding_box() is not None
        assert page.locator("form.fact:visible, #thumb:visible").count() == 0
