"""What a browser calls itself, in plain words; knows no Django."""

# The first sign that stands in the text counts: many browsers also name those that they resemble.
_DEVICES = (
    ("iPhone", "iPhone"),
    ("iPad", "iPad"),
    ("Android", "Android"),
    ("CrOS", "Chromebook"),
    ("Windows", "Windows"),
    ("Macintosh", "Mac"),
    ("Linux", "Linux"),
)
_BROWSERS = (
    ("SamsungBrowser", "Samsung Internet"),
    ("Edg", "Edge"),
    ("OPR", "Opera"),
    ("FxiOS", "Firefox"),
    ("Firefox", "Firefox"),
    ("CriOS", "Chrome"),
    ("Chrome", "Chrome"),
    ("Safari", "Safari"),
)


def device_name(user_agent: str) -> str:
    """Return such as `Android, Chrome`; empty where the text says nothing that we know."""
    found = (_first(user_agent, _DEVICES), _first(user_agent, _BROWSERS))
    return ", ".join(name for name in found if name)


def _first(text: str, signs: tuple[tuple[str, str], ...]) -> str:
    return next((name for sign, name in signs if sign in text), "")
