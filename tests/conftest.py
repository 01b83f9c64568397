"""Fixtures that many tests use; named people of one invented company are in tests/people.py."""

import gc
import os
import sqlite3
from collections import defaultdict
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
import time_machine
from django.db import connection
from pytest_django import DjangoDbBlocker, Settings

from tests import people
from tests.migrated import migrated_file
from tests.shifted import suite_shift

DATABASE_IS_SERVER = os.environ.get("DATABASE_URL", "").startswith("postgres")
REDIS_IS_NAMED = bool(os.environ.get("REDIS_URL"))
DATABASES = {"db", "transactional_db", "live_server"}
# Here a test that asks for no database still looks at how the processes of a server are joined.
JOINED = "scheduling/runs"
# What takes longest is begun first, or one core would wait for the other at the end.
FIRST = (
    "scheduling/runs/test_worker.py",
    "trust/faults/test_faults.py",
    "scheduling/crew_days/test_phone_in_browser.py",
    "scheduling/planning/proof/test_optimum.py",
    "trust",
    "scheduling/crew_days",
    "scheduling/today",
    "scheduling/weeks",
    "scheduling",
    "jobs/spaces/test_space_in_browser.py",
    "jobs",
    "test_access_matrix.py",
)
TESTS = Path(__file__).parent


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add `--at`: the moment, in UTC, at which the suite believes to begin."""
    parser.addoption("--at", help="begin the suite's clock at this moment (UTC)")


def pytest_configure(config: pytest.Config) -> None:
    """Shift the clock where that is asked for."""
    if at := config.getoption("--at"):
        suite_shift(at)


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int | None:
    """Start no worker for one file: loadfile would give all of it to one of them anyway."""
    files = {asked.partition("::")[0] for asked in config.args}
    return 0 if len(files) == 1 and files.pop().endswith(".py") else None


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Skip, saying so, what cannot hold on the database or without the servers at hand."""
    items.sort(key=place_in_line)
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


def pytest_collection_finish() -> None:
    """Spare the collector of garbage what stays: half a million things that tests are made of."""
    gc.collect()
    gc.freeze()


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Print in CI which files of tests took longest, that the suite does not grow unseen."""
    if "CI" not in os.environ:
        return
    seconds: defaultdict[str, float] = defaultdict(float)
    for reports in terminalreporter.stats.values():
        for report in reports:
            if isinstance(report, pytest.TestReport):
                seconds[report.nodeid.partition("::")[0]] += report.duration
    terminalreporter.write_sep("=", "the twenty slowest files, in seconds")
    for name, took in sorted(seconds.items(), key=lambda one: -one[1])[:20]:
        terminalreporter.write_line(f"{took:8.1f}  {name}")


def place_in_line(item: pytest.Item) -> int:
    """The place of a test's file: those of FIRST in that order, then the others as they come."""
    here = item.path.relative_to(TESTS).as_posix()
    places = (place for place, start in enumerate(FIRST) if here.startswith(start))
    return next(places, len(FIRST))


def is_pure(item: pytest.Item) -> bool:
    """Tell whether a test asks for no database; pytest-django lets it reach none then."""
    here = item.path.relative_to(TESTS).as_posix()
    asks_by_name = not DATABASES.isdisjoint(getattr(item, "fixturenames", ()))
    asks_by_mark = item.get_closest_marker("django_db") or item.get_closest_marker("services")
    return not (asks_by_name or asks_by_mark or here.startswith(JOINED))


@pytest.fixture(autouse=True)
def _quick_passwords(settings: Settings) -> None:
    """Hash test passwords quickly: argon2 takes a tenth of a second and 100 MB on purpose."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture(scope="session")
def migrated() -> Path:
    """An empty SQLite file with every table, to be copied; one for all workers of all runs."""
    return migrated_file()


@pytest.fixture(scope="session")
def django_db_use_migrations() -> bool:
    """In memory the tables come with a copy of the migrated file, in a fifth of the time."""
    return DATABASE_IS_SERVER


@pytest.fixture(scope="session")
def django_db_setup(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, request: pytest.FixtureRequest
) -> None:
    """The tests' own database, as the migrations make it."""
    if DATABASE_IS_SERVER:
        return
    migrated: Path = request.getfixturevalue("migrated")
    with django_db_blocker.unblock(), closing(sqlite3.connect(migrated)) as source:
        connection.ensure_connection()
        source.backup(connection.connection)


@pytest.fixture
def company(db: None) -> people.Company:
    """The invented company of tests/people.py, in the database."""
    return people.company_make()


@pytest.fixture
def thursday_morning() -> Iterator[None]:
    """The moment at which the invented company's pages are looked at."""
    with time_machine.travel(people.NOW, tick=False):
        yield
