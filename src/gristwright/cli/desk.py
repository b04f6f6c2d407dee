"""`gristwright desk`: what the owner of the desk does on the machine itself. See docs/desk.md."""

from __future__ import annotations

import click

from gristwright.cli.echo import echo


@click.group()
def desk() -> None:
    """The owner of the desk: let in again after wrong passwords, or given another password.

    Both work while the desk is open and while it is not, on the folder GRISTWRIGHT_HOME.
    """


@desk.command()
def unlock() -> None:
    """Open the door at once that wrong passwords closed for 15 minutes."""
    from gristwright.workbench import owner

    echo(owner.unlock())


@desk.command()
def password() -> None:
    """Give the owner another password, asked for twice and not shown; every browser has to sign in again."""
    from gristwright.workbench import owner

    who = owner.owner()
    new = click.prompt(f"New password for {who.get_username()}", hide_input=True)
    echo(owner.change_password(who, new, click.prompt("New password once more", hide_input=True)))
