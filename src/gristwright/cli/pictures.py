"""A picture or a table beside the printed answer: written whole or not at all."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from gristwright.basics import Address, Problem, Refused
from gristwright.documents.render import replace_together


def write_whole(contents: Mapping[Path, bytes]) -> tuple[Path, ...]:
    """Write each file aside and rename it into its place. Raises Refused when a folder cannot be written to."""
    for path, content in contents.items():
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            replace_together(path.parent, {path.name: content})
        except OSError as error:
            reason = error.strerror or str(error)
            raise Refused(
                [Problem(Address(str(path)), f"cannot be written ({reason}).", "Name another file.")]
            ) from error
    return tuple(contents)
