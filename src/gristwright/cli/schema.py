"""gristwright schema: the shape of a file, for editors. See docs/files.md."""

from __future__ import annotations

import json

import click

from gristwright.cli.echo import echo
from gristwright.files.schemas import KINDS
from gristwright.files.schemas import schema as made


@click.command()
@click.argument("kind", type=click.Choice(sorted(KINDS)))
def schema(kind: str) -> None:
    """The JSON schema of a plant, bill, enquiry or lots file: every field with its unit, bounds and meaning."""
    echo(json.dumps(made(kind), indent=2, ensure_ascii=False, allow_nan=False))
