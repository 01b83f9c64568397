"""Chromium and a real server on scratch data, for the few tests that need a browser.

A test asks for `chromium` (the browser) and for `live_site` (a server process of its own, with its
own embedded database in a temporary folder and its own worker process). Playwright keeps an event
loop running, so a test here touches no database of its own: what it needs is loaded into the
server's by a function that the module names in `SITE_DATA` ("package.module:function").
"""

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.error import URLError

import pytest
from playwright.sync_api import Browser, ConsoleMessage, Locator, Page, expect, sync_playwright

from tests.morning import company_this_morning
from tests.people import PASSWORD, password_give
from tests.shifted import python_path

ROOT = Path(__file__).resolve().parent.parent
CHROMIUM = Path("/usr/bin/chromium")
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
PATIENCE_MS = 30_000
expect.set_options(timeout=PATIENCE_MS)
DESK = {"width": 1440, "height": 900}
PHONE = {"width": 390, "height": 844}
USUAL_DATA = "tests.browser:company_load"
START_SECONDS = 120


def company_load() -> None:
    """Load the invented company of tests/people.py; everybody signs in with PASSWORD."""
    company = company_this_morning()
    for user in (company.olive, company.omar, company.esme, company.cleo, company.lena):
        password_give(user)


@dataclass(frozen=True)
class LiveSite:
    """A running server: its address and the environment that its commands need."""

    url: str
    environment: dict[str, str]

    def sign_in(self, page: Page, username: str, path: str = "/") -> None:
        """Sign the person in by the form, and end at `path`."""
        page.goto(f"{self.url}/sign-in/?next={path}")
        page.get_by_label("Name", exact=True).fill(username)
        page.get_by_label("Password").fill(PASSWORD)
        follow(page.get_by_role("button", name="Sign in"))

    def manage(self, *arguments: str) -> str:
        """Run a manage.py command on the site's data and return its standard output."""
        return _manage(self.environment, *arguments)


def follow(link: Locator) -> None:
    """Click what leads to another page, and wait until that is there, its styles and scripts too.

    A click alone ends as soon as the other page begins to come.
    """
    with link.page.expect_navigation():
        link.click()


@contextmanager
def site_running(folder: Path, migrated: Path, data: str = USUAL_DATA) -> Iterator[LiveSite]:
    """Serve scratch data from `folder`, loaded by the function that `data` names.

    `migrated` is an empty database with every table.
    """
    environment = _environment(folder)
    module, function = data.split(":")
    shutil.copyfile(migrated, folder / "site.sqlite3")
    _manage(environment, "shell", "-v", "0", "-c", f"from {module} import {function} as f; f()")
    port = _free_port()
    arguments = [sys.executable, "manage.py", "runserver", "--noreload", f"127.0.0.1:{port}"]
    with (folder / "server.log").open("w") as log:
        server = subprocess.Popen(arguments, cwd=ROOT, env=environment, stdout=log, stderr=log)
        try:
            _wait_until_alive(f"http://127.0.0.1:{port}/livez", server, folder / "server.log")
            yield LiveSite(f"http://127.0.0.1:{port}", environment)
        finally:
            server.terminate()
            server.wait(timeout=20)


@contextmanager
def chromium_running() -> Iterator[Browser]:
    """A headless Chromium; without one the test is skipped, except where CI=true."""
    if not CHROMIUM.exists():
        if os.environ.get("CI") == "true":
            pytest.fail(f"CI=true, and there is no Chromium at {CHROMIUM}")
        pytest.skip(f"no Chromium at {CHROMIUM}")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=ARGUMENTS)
        yield browser
        browser.close()


@contextmanager
def page_open(
    browser: Browser,
    *,
    script: bool = True,
    size: dict[str, int] = DESK,
    refusals: tuple[int, ...] = (),
) -> Iterator[Page]:
    """A page in a fresh context, that fails the test on an error or a refusal of the policy.

    `refusals` are the statuses of failed answers that the test means to get.
    """
    context = browser.new_context(java_script_enabled=script, viewport=size)  # type: ignore[arg-type]
    context.set_default_timeout(PATIENCE_MS)
    page = context.new_page()
    complaints: list[str] = []
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on("console", lambda line: complaints.extend(_complaint(line, refusals)))
    try:
        yield page
    finally:
        context.close()
    if complaints:
        pytest.fail("the browser complained: " + "; ".join(complaints))


def _complaint(line: ConsoleMessage, refusals: tuple[int, ...]) -> list[str]:
    """The text of an error; that pages without an icon of ours ask for one in vain is none."""
    if any(f"with a status of {status} " in line.text for status in refusals):
        return []
    if line.type != "error" or line.location["url"].endswith("/favicon.ico"):
        return []
    return [line.text]


def _environment(folder: Path) -> dict[str, str]:
    """Embedded: whatever servers the tests at large run against, this site needs none."""
    return os.environ | {
        "DATA_DIR": str(folder),
        "DATABASE_URL": f"sqlite:///{folder / 'site.sqlite3'}",
        "REDIS_URL": "",
        "DEBUG": "1",
        "PYTHONPATH": python_path(),
    }


def _manage(environment: dict[str, str], *arguments: str) -> str:
    done = subprocess.run(
        [sys.executable, "manage.py", *arguments],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, f"manage.py {' '.join(arguments)}\n{done.stderr}"
    return done.stdout


def _free_port() -> int:
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        return int(listener.getsockname()[1])


def _wait_until_alive(url: str, server: "subprocess.Popen[bytes]", log: Path) -> None:
    deadline = time.monotonic() + START_SECONDS
    while time.monotonic() < deadline:
        assert server.poll() is None, log.read_text()
        try:
            with urllib.request.urlopen(url, timeout=2):  # noqa: S310
                return
        except (URLError, TimeoutError, ConnectionError):
            time.sleep(0.1)
    pytest.fail(f"the server did not answer within {START_SECONDS} s\n{log.read_text()}")


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """The browser of one test module."""
    with chromium_running() as browser:
        yield browser


@pytest.fixture(scope="module")
def live_site(
    request: pytest.FixtureRequest,
    tmp_path_factory: pytest.TempPathFactory,
    chromium: Browser,
    migrated: Path,
) -> Iterator[LiveSite]:
    """The server of one test module, with the data that its `SITE_DATA` names."""
    data = getattr(request.module, "SITE_DATA", USUAL_DATA)
    with site_running(tmp_path_factory.mktemp("site"), migrated, data) as site:
        yield site
