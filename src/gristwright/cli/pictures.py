"""Files beside the printed answer, each named by itself: written whole or not at all, and never over what was read."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import click

from gristwright.files.writing import refuse_same_file, write_set

# Options that name a file or folder to write.
OUTPUTS = ("out", "chart", "csv_path", "save_map")


def write_whole(contents: Mapping[Path, bytes]) -> tuple[Path, ...]:
    """Write each file whole, those of one folder together.

    Raises Refused where one cannot be written, or is one that the command has read.
    """
    refuse_same_file(contents, read_by_command())
    for folder in dict.fromkeys(path.parent for path in contents):
        write_set(folder, {path.name: content for path, content in contents.items() if path.parent == folder})
    return tuple(contents)


def read_by_command() -> list[Path]:
    """The files that the arguments and options of the running command name to be read."""
    context = click.get_current_context(silent=True)
    if context is None:
        return []
    return [value for name, value in context.params.items() if isinstance(value, Path) and name not in OUTPUTS]
