"""The compose file: its parts, and that each runs a command, a queue and a setting that exist.

Its form was checked by Debian's docker-compose 1.29, which holds it against the Compose
Specification's own schema; no engine runs where these tests do.
"""

import re
import shlex
from typing import Any

import pytest
import yaml
from django.core.management import get_commands

from contractor.celery import app
from tests.source import BASE

COMPOSE: dict[str, Any] = yaml.safe_load((BASE / "docker-compose.yml").read_text())
SERVICES: dict[str, Any] = COMPOSE["services"]
DOCKERFILE = (BASE / "contractor/Dockerfile").read_text()


def test_it_runs_the_parts_of_production() -> None:
    assert set(SERVICES) == {
        "migrate",
        "web",
        "worker-solve",
        "worker-default",
        "beat",
        "db",
        "redis",
    }


@pytest.mark.parametrize("name", sorted(set(SERVICES) - {"migrate"}))
def test_every_part_that_stays_says_how_it_is(name: str) -> None:
    assert SERVICES[name]["healthcheck"]["test"]
    assert SERVICES[name]["restart"] == "unless-stopped"


def test_what_must_last_is_in_a_volume() -> None:
    used = {volume.split(":")[0] for service in SERVICES.values() for volume in service["volumes"]}
    assert used == set(COMPOSE["volumes"])


def test_our_parts_are_one_image_and_production() -> None:
    ours = [service for name, service in SERVICES.items() if name not in {"db", "redis"}]
    assert {service["image"] for service in ours} == {"baywright"}
    assert {service["environment"]["DEBUG"] for service in ours} == {"0"}
    assert (BASE / ours[0]["build"]["dockerfile"]).is_file()


def test_each_queue_that_tasks_go_to_has_its_worker() -> None:
    served = {
        re.search(r"--queues (\w+)", SERVICES[name]["command"])[1]  # type: ignore[index]
        for name in ("worker-solve", "worker-default")
    }
    app.loader.import_default_modules()
    routed = {route["queue"] for route in app.conf.task_routes.values()}
    assert routed | {app.conf.task_default_queue} == served
    assert set(app.conf.task_routes) <= set(app.tasks)
    assert {entry["task"] for entry in app.conf.beat_schedule.values()} <= set(app.tasks)


def test_its_management_commands_exist() -> None:
    for service in SERVICES.values():
        for command in re.findall(r"manage\.py (\w+)", str(service.get("command", ""))):
            assert command in get_commands()


def test_settings_named_there_are_in_the_example() -> None:
    named = set(re.findall(r"^#?([A-Z_]+)=", (BASE / ".env.example").read_text(), re.M))
    set_here = set(SERVICES["web"]["environment"])
    asked = set(re.findall(r"\$\{([A-Z_]+)", (BASE / "docker-compose.yml").read_text()))
    assert set_here <= named
    assert asked == {"POSTGRES_PASSWORD"}


def test_the_image_serves_by_default_and_not_as_root() -> None:
    command = re.search(r"^CMD (\[.*\])$", DOCKERFILE, re.M)
    assert command is not None
    assert "contractor.wsgi" in command[1]
    assert DOCKERFILE.index("USER baywright") < DOCKERFILE.index("CMD")
    copied = {line.split()[1] for line in DOCKERFILE.splitlines() if line.startswith("COPY")}
    assert all((BASE / name).exists() for name in copied)
    assert shlex.split(SERVICES["redis"]["command"])[0] == "redis-server"
