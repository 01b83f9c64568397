"""The browser and the scratch server that other tests lean on do stand."""

import pytest
from playwright.sync_api import Browser

from tests.browser import LiveSite, chromium, live_site, page_open

__all__ = ["chromium", "live_site"]
pytestmark = pytest.mark.browser


@pytest.mark.parametrize("script", [True, False])
def test_a_person_signs_in(chromium: Browser, live_site: LiveSite, script: bool) -> None:
    with page_open(chromium, script=script) as page:
        live_site.sign_in(page, "cleo", "/livez")
        assert "alive" in page.content()


def test_a_command_runs_on_the_sites_own_data(live_site: LiveSite) -> None:
    code = "from contractor.models import Crew; print(Crew.objects.count())"
    assert live_site.manage("shell", "-v", "0", "-c", code).strip() == "3"
