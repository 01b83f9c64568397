"""Fixtures that many tests use; named people of one invented company are in tests/people.py."""

import os
from pathlib import Path

import pytest
from pytest_django import Settings

from tests import people

DATABASE_IS_SERVER = os.environ.get("DATABASE_URL", "").startswith("postgres")
REDIS_IS_NAMED = bool(os.environ.get("REDIS_URL"))
# Tests of packages that know neither a database nor a cache: once is enough for all of them.
PURE = ("jobs/conditions", "jobs/estimating", "jobs/sheets", "published", "scheduling/planning")
TESTS = Path(__file__).parent


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Skip, saying so, what cannot hold on the database or without the servers at hand."""
    for item in items:
        if is_pure(item):
            item.add_marker(pytest.mark.pure)
        if item.get_closest_marker("sqlite_only") and DATABASE_IS_SERVER:
            item.add_marker(
                pytest.mark.skip(reason="marked SQLite-only; DATABASE_URL is PostgreSQL")
            )
        if item.get_closest_marker("services") and not (DATABASE_IS_SERVER and REDIS_IS_NAMED):
            item.add_marker(
                pytest.mark.skip(reason="DATABASE_URL or REDIS_URL names no PostgreSQL or Redis")
            )


def is_pure(item: pytest.Item) -> bool:
    """Tell whether a test is of a pure package, and itself asks for no database."""
    here = item.path.relative_to(TESTS).as_posix()
    asks_for_database = "db" in getattr(item, "fixturenames", ())
    return here.startswith(PURE) and not asks_for_database


@pytest.fixture(autouse=True)
def _quick_passwords(settings: Settings) -> None:
    """Hash test passwords quickly: argon2 takes a tenth of a second and 100 MB on purpose."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture
def company(db: None) -> people.Company:
    """The invented company of tests/people.py, in the database."""
    return people.company_make()
