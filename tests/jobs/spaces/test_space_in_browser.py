"""An estimator who has never seen the page measures a house, with and without script."""

from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from tests.browser import DESK, PHONE, LiveSite, chromium, follow, live_site, page_open

__all__ = ["chromium", "live_site"]
pytestmark = pytest.mark.browser
SITE_DATA = "tests.jobs.spaces.space_site:load"
# WCAG 2.2, levels A and AA; contrast of at least 4.5:1 is its criterion 1.4.3.
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}
JOB = "/jobs/1/"
SLOPES = f"{JOB}spaces/new/?kind=slope_bays"
PRINT = "from tests.jobs.spaces.space_site import spaces_print as f; f()"
# A gable house of 28 x 40 ft, roof 6/12, 2x12 rafters, 1 in of vent, dense 3.5 lb/ft3, bags of
# 25 lb: 1,002.74 ft3 and 3,509.6 lb at 24 in (141 bags), 969.31 ft3 and 3,392.6 lb at 16 in
# (136 bags). Own arithmetic, by hand; the lines of it are in tests/jobs/spaces/spaces.py.
HOUSE = {
    "Pitch": "6/12",
    "Width across the ridge": "28",
    "Length along the ridge": "40",
    "Rafter depth": "2x12",
    "Vent space": "1",
    "Density": "3.5",
}
BAGS = {"24": "141 bags", "16": "136 bags"}
with_and_without_script = pytest.mark.parametrize("script", [True, False], ids=["script", "plain"])


@pytest.fixture
def desk(chromium: Browser, live_site: LiveSite, script: bool) -> Iterator[Page]:
    """Esme's desk, at the house without spaces."""
    with page_open(chromium, script=script, refusals=(400,)) as page:
        live_site.sign_in(page, "esme", JOB)
        yield page


def write(page: Page, label: str, text: str) -> None:
    page.get_by_label(label, exact=True).fill(text)


@with_and_without_script
def test_a_house_is_measured_from_its_page_and_read_off(
    desk: Page, live_site: LiveSite, script: bool
) -> None:
    follow(desk.get_by_role("link", name="Add a space"))
    follow(desk.get_by_role("link", name="slope bays"))
    for label, text in HOUSE.items():
        write(desk, label, text)
    makes = desk.locator("#result")
    for spacing, bags in BAGS.items():
        write(desk, "Rafter spacing", spacing)
        if not script:
            desk.get_by_role("button", name="Work it out").click()
        expect(makes.get_by_text(bags).first).to_be_visible()
        expect(makes.get_by_text("Crew-hours of 2 people")).to_be_visible()
    expect(makes.get_by_text("roof free of leaks")).to_be_visible()
    expect(makes.get_by_text("vent chutes in every rafter bay")).to_be_visible()
    weight = makes.locator("details.figure").filter(has_text="weight").first
    weight.locator("summary").click()
    expect(weight.get_by_text("969.3122 x 3.5 = 3,392.5926 lb")).to_be_visible()
    name = f"roof {script}"
    assert name not in live_site.manage("shell", "-v", "0", "-c", PRINT)
    write(desk, "Name of the space", name)
    desk.get_by_role("button", name="Save", exact=True).click()
    expect(desk.get_by_text(f"{name} is saved.")).to_be_visible()
    assert f"{name} 60 136" in live_site.manage("shell", "-v", "0", "-c", PRINT)


@pytest.mark.parametrize("script", [True])
def test_what_cannot_be_is_said_at_the_field_while_one_types(
    desk: Page, live_site: LiveSite
) -> None:
    desk.goto(f"{live_site.url}{SLOPES}")
    for label, text in HOUSE.items():
        write(desk, label, text)
    expect(desk.locator("#result").get_by_text("136 bags").first).to_be_visible()
    vent = desk.get_by_label("Vent space", exact=True)
    vent.fill("11.25")
    fault = desk.locator("#id_vent_in_error")
    expect(fault).to_contain_text("leaves nothing of a 11.25 in rafter")
    expect(vent).to_be_focused()
    vent.fill("1")
    expect(fault).to_be_hidden()
    expect(desk.locator("#result").get_by_text("136 bags").first).to_be_visible()


@with_and_without_script
def test_a_job_is_typed_in_by_keyboard_alone(desk: Page, live_site: LiveSite, script: bool) -> None:
    desk.goto(f"{live_site.url}/jobs/new/")
    desk.get_by_label("Builder", exact=True).focus()
    desk.keyboard.type("Alder Builders")
    desk.keyboard.press("Tab")
    desk.keyboard.type(f"Mill Street {script}")
    desk.keyboard.press("Enter")
    expect(desk.get_by_text(f"Mill Street {script} is made.")).to_be_visible()


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_the_pages_are_within_reach_of_everybody(
    chromium: Browser, live_site: LiveSite, size: dict[str, int]
) -> None:
    with page_open(chromium, size=size) as page:
        live_site.sign_in(page, "esme", SLOPES)
        for label, text in HOUSE.items():
            write(page, label, text)
        expect(page.locator("#result").get_by_text("136 bags").first).to_be_visible()
        checked(page, size)
        for path in ("/jobs/new/", f"{JOB}spaces/new/", f"{JOB}spaces/new/?kind=attic_flat"):
            page.goto(f"{live_site.url}{path}")
            checked(page, size)


def checked(page: Page, size: dict[str, int]) -> None:
    """No fault of the accessibility rules, and nothing to scroll sideways."""
    found = Axe().run(page, options=RULES)
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
