"""The worker, its page without signal and the manifest, as a phone fetches them."""

import gzip
import json
import re
from pathlib import Path

import pytest
from django.conf import LazySettings
from django.conf import settings as usual
from django.contrib.staticfiles import finders
from django.test import Client

from scheduling.crew_days.views import phone_worker

# What the scripts of a first visit may weigh, compressed, the worker with them.
MOST_SCRIPT_BYTES = 15_000
SCRIPTS = ("queue", "stand", "shown", "phone")


def script(name: str) -> Path:
    return Path(str(finders.find(f"scheduling/crew_days/{name}.js")))


def known_of(client: Client) -> dict[str, object]:
    first = client.get("/crew-days/sw.js").content.decode().splitlines()[0]
    return dict(json.loads(first.removeprefix("const KNOWN = ").removesuffix(";")))


def test_the_worker_is_never_taken_from_a_store(client: Client) -> None:
    response = client.get("/crew-days/sw.js")
    assert response.headers["Content-Type"] == "text/javascript; charset=utf-8"
    assert response.headers["Cache-Control"] == "no-cache"
    assert "Set-Cookie" not in response.headers
    again = client.get("/crew-days/sw.js", headers={"If-None-Match": response.headers["ETag"]})
    assert again.status_code == 304


def test_the_worker_keeps_files_that_exist(client: Client) -> None:
    known = known_of(client)
    assert known["scope"] == "/crew-days/"
    for name in phone_worker.ASSETS:
        assert finders.find(name), name
        assert f"{usual.STATIC_URL}{name}" in known["assets"]  # type: ignore[operator]


def test_the_scripts_are_small(client: Client) -> None:
    texts = [client.get("/crew-days/sw.js").content]
    texts += [
        Path(str(finders.find(f"scheduling/crew_days/{name}.js"))).read_bytes() for name in SCRIPTS
    ]
    assert sum(len(gzip.compress(text)) for text in texts) <= MOST_SCRIPT_BYTES


def test_no_script_holds_words_for_people() -> None:
    """A text of more than one word is said to somebody, so it belongs to the page's words."""
    for name in (*SCRIPTS, "worker"):
        text = script(name).read_text()
        code = re.sub(r"/\*.*?\*/|//[^\n]*", "", text, flags=re.DOTALL)
        said = re.findall(r'"([A-Z][a-z]+(?: [a-z]+)+[^"]*)"', code)
        assert said == [], name


def test_other_bytes_of_any_file_are_another_worker(
    client: Client, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, settings: LazySettings
) -> None:
    settings.DEBUG = True
    before = known_of(client)["version"]
    assert known_of(client)["version"] == before
    path = tmp_path / "phone.js"
    path.write_text("changed")
    real = phone_worker._file
    monkeypatch.setattr(
        phone_worker, "_file", lambda name: path if name.endswith("phone.js") else real(name)
    )
    assert known_of(client)["version"] != before


def test_the_page_without_signal_speaks_both_languages(client: Client) -> None:
    page = client.get("/crew-days/no-signal/").content.decode()
    assert 'lang="en"' in page
    assert 'lang="es"' in page
    assert "<script" not in page


def test_the_manifest_begins_at_the_crew_s_days(client: Client) -> None:
    response = client.get("/crew-days/app.webmanifest")
    assert response.headers["Content-Type"] == "application/manifest+json"
    assert response.json()["start_url"] == "/crew-days/"
    icon = response.json()["icons"][0]["src"].removeprefix(f"/{usual.STATIC_URL.strip('/')}/")
    assert finders.find(icon)


@pytest.mark.parametrize("address", ["sw.js", "no-signal/", "app.webmanifest"])
def test_they_are_only_read(client: Client, address: str) -> None:
    assert client.post(f"/crew-days/{address}").status_code == 405
