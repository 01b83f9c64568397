"""Reads settings from the environment and refuses weak ones by name; knows no app."""

import re
import secrets
from datetime import time
from pathlib import Path

import environ
from django.core.exceptions import ImproperlyConfigured

SECRET_KEY_MIN_CHARACTERS = 50
MOST_DAYS = 3650


def environment_read(base_dir: Path) -> environ.Env:
    """Return the environment, with the lines of a `.env` beside manage.py added."""
    env = environ.Env()
    env_file = base_dir / ".env"
    if env_file.is_file():
        env.read_env(str(env_file))
    return env


def development_secret_key(data_dir: Path) -> str:
    """Return the key kept in the data folder, made on first use, readable by its owner only."""
    key_file = data_dir / "secret_key"
    if not key_file.is_file():
        key_file.touch(mode=0o600)
        key_file.write_text(secrets.token_urlsafe(64), encoding="ascii")
    return key_file.read_text(encoding="ascii")


def clock_time(name: str, text: str) -> time:
    """Return the time of day that a setting gives as 16:30; else raise ImproperlyConfigured."""
    if not re.fullmatch(r"([01][0-9]|2[0-3]):[0-5][0-9]", text):
        raise ImproperlyConfigured(f"{name} is {text!r}: expected a time of day such as 16:30")
    return time.fromisoformat(text)


def whole_days(name: str, text: str) -> int:
    """Return the days that a setting gives as 1 to 3650; else raise ImproperlyConfigured."""
    if not re.fullmatch(r"[0-9]{1,4}", text) or not 1 <= int(text) <= MOST_DAYS:
        raise ImproperlyConfigured(f"{name} is {text!r}: expected whole days, 1 to {MOST_DAYS}")
    return int(text)


def map_url(name: str, text: str) -> str:
    """Return the address of a map that a setting gives; else raise ImproperlyConfigured."""
    has_places = all(place in text for place in ("{latitude}", "{longitude}"))
    if not text.startswith("https://") or not has_places:
        expected = "https://… with {latitude} and {longitude}"
        raise ImproperlyConfigured(f"{name} is {text!r}: expected {expected}")
    return text


def production_refuse_weak(env: environ.Env) -> None:
    """Raise ImproperlyConfigured naming every setting that production lacks or has too weak."""
    faults = [*_secret_key_faults(env), *_address_faults(env)]
    if not env.str("DATABASE_URL", default=""):
        faults.append("DATABASE_URL is missing: expected postgres://… (or sqlite:///… on purpose)")
    if faults:
        raise ImproperlyConfigured("With DEBUG=0: " + "; ".join(faults))


def _secret_key_faults(env: environ.Env) -> list[str]:
    key = env.str("SECRET_KEY", default="")
    if not key:
        return ["SECRET_KEY is missing"]
    if len(key) < SECRET_KEY_MIN_CHARACTERS or len(set(key)) < 10 or "insecure" in key:
        return [
            f"SECRET_KEY is weak: expected at least {SECRET_KEY_MIN_CHARACTERS} random characters"
        ]
    return []


def _address_faults(env: environ.Env) -> list[str]:
    faults = []
    hosts = env.list("ALLOWED_HOSTS", default=[])
    if not hosts:
        faults.append("ALLOWED_HOSTS is missing: expected the names the site is reached by")
    elif "*" in hosts:
        faults.append("ALLOWED_HOSTS is weak: '*' lets any name in")
    site_url = env.str("SITE_URL", default="")
    if not site_url:
        faults.append("SITE_URL is missing: expected https://…, it stands in mailed links")
    elif not site_url.startswith("https://"):
        faults.append("SITE_URL is weak: expected https://…")
    return faults
