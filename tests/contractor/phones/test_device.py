"""What browsers call themselves, as their makers document it and as phones were seen to send it."""

import pytest

from contractor.phones.device import device_name

WEBKIT = "AppleWebKit/537.36 (KHTML, like Gecko)"


# From memory; the words that matter are documented by the browsers' makers.
@pytest.mark.parametrize(
    ("agent", "name"),
    [
        (f"Mozilla/5.0 (Linux; Android 10; K) {WEBKIT} Chrome/142.0.0.0 Mobile Safari/537.36",
         "Android, Chrome"),
        (f"Mozilla/5.0 (Linux; Android 10; K) {WEBKIT} SamsungBrowser/28.0 Chrome/130.0.0.0 "
         "Mobile Safari/537.36", "Android, Samsung Internet"),
        ("Mozilla/5.0 (iPhone; CPU iPhone OS 18_6 like Mac OS X) AppleWebKit/605.1.15 (KHTML, "
         "like Gecko) Version/18.6 Mobile/15E148 Safari/604.1", "iPhone, Safari"),
        ("Mozilla/5.0 (iPhone; CPU iPhone OS 18_6 like Mac OS X) AppleWebKit/605.1.15 (KHTML, "
         "like Gecko) CriOS/142.0 Mobile/15E148 Safari/604.1", "iPhone, Chrome"),
        ("Mozilla/5.0 (Android 15; Mobile; rv:140.0) Gecko/140.0 Firefox/140.0",
         "Android, Firefox"),
        (f"Mozilla/5.0 (Windows NT 10.0; Win64; x64) {WEBKIT} Chrome/142.0.0.0 Safari/537.36 "
         "Edg/142.0.0.0", "Windows, Edge"),
        ("curl/8.5.0", ""),
        ("", ""),
    ],
)  # fmt: skip
def test_a_browser_is_named_in_plain_words(agent: str, name: str) -> None:
    assert device_name(agent) == name
