"""Fixtures that many tests use; named people of one invented company are in tests/people.py."""

import os

import pytest
from pytest_django import Settings

from tests import people

DATABASE_IS_SERVER = os.environ.get("DATABASE_URL", "").startswith("postgres")
REDIS_IS_NAMED = bool(os.environ.get("REDIS_URL"))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Skip, saying so, what cannot hold on the database or without the servers at hand."""
    for item in items:
        if item.get_closest_marker("sqlite_only") and DATABASE_IS_SERVER:
            item.add_marker(
                pytest.mark.skip(reason="marked SQLite-only; DATABASE_URL is PostgreSQL")
            )
        if item.get_closest_marker("services") and not (DATABASE_IS_SERVER and REDIS_IS_NAMED):
            item.add_marker(
                pytest.mark.skip(reason="DATABASE_URL or REDIS_URL names no PostgreSQL or Redis")
            )


@pytest.fixture(autouse=True)
def _quick_passwords(settings: Settings) -> None:
    """Hash test passwords quickly: argon2 takes a tenth of a second and 100 MB on purpose."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture
def company(db: None) -> people.Company:
    """The invented company of tests/people.py, in the database."""
    return people.company_make()
