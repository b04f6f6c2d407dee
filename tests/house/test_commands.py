"""The manual of the command line and its help say the same: every command, every option, and none that is not."""

from __future__ import annotations

import re
from collections.abc import Iterator

import click
import pytest

from gristwright.cli.main import cli
from house.places import DOCS

HEADING = re.compile(r"^#{2,3} `(gristwright[^`]*)`\s*$", re.MULTILINE)
OPTION = re.compile(r"(?<![\w-])--[a-z][a-z-]*")


def commands(group: click.Group, path: str) -> Iterator[tuple[str, click.Command]]:
    """Every command below a group, by the words a person types."""
    for name in group.list_commands(click.Context(group)):
        command = group.get_command(click.Context(group), name)
        assert command is not None
        yield f"{path} {name}", command
        if isinstance(command, click.Group):
            yield from commands(command, f"{path} {name}")


def sections() -> dict[str, str]:
    """The text of the manual below each heading that is a command."""
    pieces = HEADING.split((DOCS / "commands.md").read_text(encoding="utf-8"))
    return dict(zip(pieces[1::2], pieces[2::2], strict=True))


COMMANDS = dict(commands(cli, "gristwright"))


def options(command: click.Command) -> set[str]:
    return {name for param in command.params for name in param.opts if name.startswith("--")} - {"--help"}


def test_the_manual_has_every_command_and_no_other() -> None:
    assert set(sections()) == set(COMMANDS)


@pytest.mark.parametrize("path", COMMANDS)
def test_a_section_has_every_option_and_no_other(path: str) -> None:
    assert set(OPTION.findall(sections()[path])) == options(COMMANDS[path])


@pytest.mark.parametrize("path", COMMANDS)
def test_every_command_and_option_has_help(path: str) -> None:
    command = COMMANDS[path]
    assert command.help
    assert all(param.help for param in command.params if isinstance(param, click.Option))
