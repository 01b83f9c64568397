"""Phones without signal: what was tapped arrives, once, and as its own person's; see site.py."""

import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Request, expect

from tests.browser import LiveSite, chromium, live_site
from tests.scheduling.crew_days.site import CHANGE
from tests.scheduling.crew_days.thumbs import (
    FACTS,
    TWO_TAPS_MS,
    Phone,
    answer_lost,
    phone_open,
    picture_make,
    texts,
    told,
)

__all__ = ["chromium", "live_site"]
pytestmark = pytest.mark.browser
SITE_DATA = "tests.scheduling.crew_days.site:load"
TAPS, PHOTOS = 40, 6
# Three houses: set out, arrived, two looks, three steps begun and ended.
OF_HOUSES = 30
KINDS = {"set_out": 3, "arrived": 3, "checked": 6, "started": 9, "finished": 9, "note": 10}
ABOUT_NOW = timedelta(minutes=5)
NEXT_WORKER = """async () => {
  const changed = new Promise((done) => navigator.serviceWorker.oncontrollerchange = done);
  await navigator.serviceWorker.register("/crew-days/sw.js?next", { scope: "/crew-days/" });
  await changed;
}"""
CLOCK_BEHIND = """const real = Date.now;
Date = class extends Date {
  constructor(...told) { told.length ? super(...told) : super(real() - 3 * 3600e3); }
  static now() { return real() - 3 * 3600e3; }
};"""


def day_go(phone: Phone, taps: int, before: int) -> None:
    """Do the next so many things that the page asks for; each is kept before the next."""
    for number in range(before + 1, before + taps + 1):
        assert phone.main() != ""
        phone.unsent_is(number)
        if phone.page.locator("#main-form").is_visible():
            phone.page.wait_for_timeout(TWO_TAPS_MS)  # less is a tap in haste, which says nothing


def test_a_day_without_signal(
    chromium: Browser,
    live_site: LiveSite,
    tmp_path: Path,
    record_property: Callable[[str, object], None],
) -> None:
    folder, picture = tmp_path / "phone", picture_make(tmp_path / "photo.jpg")
    with phone_open(chromium, live_site, folder) as phone:
        phone.sign_in("cleo")
        assert len(phone.pages_kept(3)) == 3, "the list, today and tomorrow"
        phone.no_signal()
        phone.page.locator("#main-form button").dblclick()
        phone.unsent_is(1)
        expect(phone.page.locator("#main-form")).to_have_attribute("data-kind", "arrived")
        day_go(phone, 19, 1)
        begun = time.perf_counter()
        phone.page.reload()
        expect(phone.page.locator("#say-cached")).to_be_visible()
        record_property("offline_load_seconds", round(time.perf_counter() - begun, 2))
        phone.unsent_is(20)
        day_go(phone, OF_HOUSES - 20, 20)
        expect(phone.page.locator("#main-done")).to_be_visible()
        for number in range(OF_HOUSES, TAPS):
            phone.note(f"note {number}")
            phone.unsent_is(number + 1)
        for number in range(TAPS, TAPS + PHOTOS):
            phone.photo(picture)
            phone.unsent_is(number + 1)
        address = phone.page.url
    assert told(live_site) == []

    with phone_open(chromium, live_site, folder) as phone:
        phone.no_signal()
        phone.page.goto(address)
        phone.unsent_is(TAPS + PHOTOS)
        expect(phone.page.locator("#kept")).to_contain_text(f"{TAPS + PHOTOS} kept on this phone")
        expect(phone.page.locator("#main-done")).to_be_visible()
        phone.context.route(FACTS, answer_lost, times=1)
        phone.context.route("**/photo", answer_lost, times=2)
        begun = time.perf_counter()
        for _ in range(3):  # each lost answer is followed by another try in the next signal
            with phone.page.expect_event("requestfailed"):
                phone.signal()
            phone.no_signal()
        phone.signal()
        phone.unsent_is(0)
        record_property("drain_seconds", round(time.perf_counter() - begun, 2))
        expect(phone.page.locator("#kept")).to_have_text("All sent")
        expect(phone.page.locator("#say-cached")).to_be_hidden()

    stored = told(live_site)
    kinds = [fact["kind"] for fact in stored]
    assert {kind: kinds.count(kind) for kind in KINDS} == KINDS
    assert len(kinds) == TAPS + PHOTOS
    assert [fact["kind"] for fact in stored if fact["photo_id"]] == ["photo"] * PHOTOS
    assert {fact["who"] for fact in stored} == {"cleo"}


def test_a_tap_outlives_a_new_worker_and_a_new_page(chromium: Browser, live_site: LiveSite) -> None:
    with phone_open(chromium, live_site) as phone:
        phone.sign_in("saul")
        phone.facts_stopped()
        phone.note("before the update")
        phone.unsent_is(1)
        phone.page.evaluate(NEXT_WORKER)
        phone.page.reload()
        phone.unsent_is(1)
        phone.facts_let_go()
        phone.unsent_is(0)
    assert texts(live_site).count(("saul", "before the update")) == 1


def test_another_person_neither_sees_nor_sends_what_is_kept(
    chromium: Browser, live_site: LiveSite
) -> None:
    with phone_open(chromium, live_site) as phone:
        page, leave = phone.page, phone.page.locator("#leave")
        phone.sign_in("saul")
        address = page.url
        phone.facts_stopped()
        phone.note("of Saul")
        phone.unsent_is(1)
        page.get_by_role("button", name="Sign out").first.click()
        expect(page.locator("#leave-count")).to_contain_text("1 thing")
        leave.get_by_role("button", name="Stay signed in").click()
        expect(leave).to_be_hidden()
        phone.unsent_is(1)
        page.get_by_role("button", name="Sign out").first.click()
        leave.get_by_role("button", name="keep it here").click()
        page.wait_for_url("**/sign-in/**")
        assert phone.pages_kept(0) == []
        phone.context.unroute(FACTS)

        phone.sign_in("cleo")
        phone.unsent_is(0)
        assert address.removeprefix(live_site.url) not in phone.pages_kept(1)
        phone.note("of Cleo")
        phone.unsent_is(0)
        phone.no_signal()
        page.goto(address)
        expect(page.get_by_role("heading", name="No signal here")).to_be_visible()
        page.goto(f"{live_site.url}/crew-days/")
        phone.signal()
        with page.expect_navigation(url="**/sign-in/**"):
            page.get_by_role("button", name="Sign out").first.click()  # nothing waits: no question

        phone.sign_in("saul")
        phone.unsent_is(0)
    written = texts(live_site)
    assert ("saul", "of Saul") in written
    assert ("cleo", "of Cleo") in written
    assert ("cleo", "of Saul") not in written


def test_an_ended_session_shows_nothing_and_loses_nothing(
    chromium: Browser, live_site: LiveSite
) -> None:
    with phone_open(chromium, live_site) as phone:
        phone.sign_in("saul")
        cookies = phone.context.cookies()
        phone.context.clear_cookies(name="sessionid")
        phone.note("signed out meanwhile")
        expect(phone.page.locator("#say-sign-in")).to_be_visible()
        phone.unsent_is(1)
        phone.page.reload()
        phone.page.wait_for_url("**/sign-in/**")
        assert phone.pages_kept(0) == []
        phone.context.add_cookies(cookies)  # type: ignore[arg-type]
        phone.page.goto(f"{live_site.url}/crew-days/")
        phone.unsent_is(0)
    assert ("saul", "signed out meanwhile") in texts(live_site)


def test_two_tabs_share_the_work(chromium: Browser, live_site: LiveSite) -> None:
    sent: list[str] = []

    def note_sent(request: Request) -> None:
        if request.method == "POST" and request.url.endswith("/api/facts"):
            sent.extend(fact["id"] for fact in (request.post_data_json or {})["facts"])

    with phone_open(chromium, live_site) as phone:
        phone.sign_in("saul")
        other = Phone(phone.context.new_page(), live_site)
        other.page.goto(phone.page.url)
        phone.no_signal()
        for number in range(3):
            phone.note(f"left tab {number}")
            other.unsent_is(2 * number + 1)
            other.note(f"right tab {number}")
            phone.unsent_is(2 * number + 2)
        phone.context.on("request", note_sent)
        phone.signal()
        phone.unsent_is(0)
        other.unsent_is(0)
    assert len(sent) == len(set(sent)) == 6


def test_a_plan_changed_under_a_phone_without_signal(
    chromium: Browser, live_site: LiveSite
) -> None:
    with phone_open(chromium, live_site) as phone:
        page = phone.page
        phone.sign_in("lars")
        phone.no_signal()
        assert phone.main() == "set_out"
        phone.unsent_is(1)
        typed = page.locator("#day-note textarea")
        page.locator("#day-note summary").click()
        typed.fill("typed before")
        page.locator(".stop").first.locator("[id^=away-] summary").first.click()
        page.locator(".stop").first.locator("[name=why]").fill("typed for Lot 6")
        live_site.manage("shell", "-v", "0", "-c", CHANGE)
        phone.signal()
        expect(page.locator("#say-changed")).to_be_visible()
        expect(page.locator(".stop h2")).to_contain_text(["Lot 7", "Lot 8"])
        expect(typed).to_have_value("typed before")
        expect(page.locator("#left-over [name=why]")).to_have_value("typed for Lot 6")
        expect(page.locator("#left-over")).to_contain_text("Lot 6")
        phone.unsent_is(0)
        with page.expect_response(FACTS):
            page.locator("#left-over button").click()
        phone.unsent_is(0)
        expect(page.locator("#refused-box")).to_be_hidden()
    of_lars = [fact for fact in told(live_site) if fact["who"] == "lars"]
    assert {(fact["kind"], fact["house"]) for fact in of_lars} == {
        ("set_out", "Lot 6"),
        ("turned_away", "Lot 6"),
    }


def test_a_clock_that_is_wrong_is_set_right(chromium: Browser, live_site: LiveSite) -> None:
    with phone_open(chromium, live_site) as phone:
        phone.context.add_init_script(CLOCK_BEHIND)
        phone.sign_in("saul")
        phone.note("three hours behind")
        phone.unsent_is(0)
    (note,) = [f for f in told(live_site) if f["what"].get("text") == "three hours behind"]
    tapped, happened = (datetime.fromisoformat(note[n]) for n in ("tapped_at", "happened_at"))
    assert abs(happened - datetime.now(UTC).replace(tzinfo=None)) < ABOUT_NOW
    assert abs(happened - tapped - timedelta(hours=3)) < ABOUT_NOW


def test_a_full_phone_says_that_it_kept_nothing(chromium: Browser, live_site: LiveSite) -> None:
    with phone_open(chromium, live_site) as phone:
        phone.sign_in("saul")
        quota: dict[str, Any] = {"origin": live_site.url, "quotaSize": 1}
        phone.no_signal()
        phone.context.new_cdp_session(phone.page).send("Storage.overrideQuotaForOrigin", quota)
        phone.note("nowhere to put it " * 20, is_kept=False)
        expect(phone.page.locator("#say-full")).to_be_visible()
        phone.unsent_is(0)
        expect(phone.page.locator("#day-note textarea")).not_to_have_value("")


def test_what_the_server_refuses_is_shown_until_it_is_read(
    chromium: Browser, live_site: LiveSite
) -> None:
    with phone_open(chromium, live_site) as phone:
        phone.sign_in("saul")
        form = phone.page.locator("#day-note form")
        form.evaluate("form => form.dataset.job = '1'")  # a house of the other crew
        phone.note("not ours")
        line = phone.page.locator("#refused li")
        expect(line).to_contain_text("that house is on none of this crew's days")
        phone.unsent_is(0)
        phone.page.reload()
        line.get_by_role("button").click()
        expect(phone.page.locator("#refused-box")).to_be_hidden()
    assert ("saul", "not ours") not in texts(live_site)
