"""The documents keep their word: every command, picture and setting named is there, and back."""

import re
from importlib import import_module
from pathlib import Path

from django.core.management import get_commands, load_command_class

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
