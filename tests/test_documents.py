"""The documents keep their word: every command, picture and setting named is there, and back."""

import re
from importlib import import_module
from pathlib import Path

import pytest
from django.core.management import get_commands, load_command_class
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from packaging.version import Version

from tests.source import BASE

README = (BASE / "README.md").read_text()
HIDDEN = {"run_solve"}  # started by other commands, never by a person


def own_commands() -> dict[str, str]:
    return {
        name: app
        for name, app in get_commands().items()
        if app in {"contractor", "jobs", "scheduling"}
    }


def test_every_command_of_ours_is_in_the_readme() -> None:
    named = set(re.findall(r"`([a-z_]+)[ `]", README))
    assert set(own_commands()) - HIDDEN <= named


def test_every_command_explains_itself() -> None:
    for name, app in own_commands().items():
        command = load_command_class(app, name)
        assert len(command.help) > 30, name


def test_commands_named_with_their_options_take_them() -> None:
    for name, options in re.findall(r"`((?:demo|import_jobs|plan_week))([^`]*)`", README):
        parser = load_command_class(own_commands()[name], name).create_parser("manage.py", name)
        known = {option for action in parser._actions for option in action.option_strings}
        assert set(re.findall(r"--[a-z-]+", options)) <= known


def test_modules_named_to_run_alone_can_be_run() -> None:
    for module in set(re.findall(r"python -m (jobs\.\w+|scheduling\.\w+)", README)):
        assert (Path(import_module(module).__path__[0]) / "__main__.py").is_file()


def test_every_picture_is_there_and_every_picture_is_shown() -> None:
    shown = set(re.findall(r"\]\((contractor/pictures/[^)]+)\)", README))
    there = {
        path.relative_to(BASE).as_posix() for path in (BASE / "contractor/pictures").glob("*.png")
    }
    assert shown == there


def test_each_of_the_two_commands_is_one_line() -> None:
    blocks = re.findall(r"```sh\n(.*?)```", README, re.S)
    assert [block.count("\n") for block in blocks] == [1, 1]


def locked() -> dict[str, Version]:
    """The exact version of each package of the lock, by its canonical name."""
    lines = (BASE / ".constraints.txt").read_text().splitlines()
    pairs = [line.split("==") for line in lines if line and not line.startswith("#")]
    return {canonicalize_name(name): Version(version) for name, version in pairs}


@pytest.mark.parametrize("file", ["requirements.txt", "tests/requirements.txt"])
def test_every_package_asked_for_is_locked_within_its_range(file: str) -> None:
    lines = (BASE / file).read_text().splitlines()
    asked = [Requirement(line) for line in lines if line and line[0] not in "#-"]
    versions = locked()
    assert asked
    wrong = [
        str(one)
        for one in asked
        if canonicalize_name(one.name) not in versions
        or versions[canonicalize_name(one.name)] not in one.specifier
    ]
    assert wrong == []


def test_whatever_installs_goes_by_the_lock() -> None:
    installs = [
        line
        for file in ("README.md", "contractor/Dockerfile")
        for line in (BASE / file).read_text().splitlines()
        if "pip install" in line
    ]
    assert len(installs) == 3
    assert all("-c .constraints.txt" in line for line in installs)
