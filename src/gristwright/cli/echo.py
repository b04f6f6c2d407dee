"""What a command prints on a terminal: nothing out of a file or an argument can steer it. See docs/commands.md."""

from __future__ import annotations

import sys

import click

WIDTH = 79


def echo(text: str = "", err: bool = False) -> None:
    """Print a text on stdout, or on stderr; what would steer the terminal stands as its code point, as [U+001B]."""
    said = _still(text)
    try:
        click.echo(said, err=err)
    except UnicodeEncodeError as fault:
        click.echo("".join(c if _known(c, fault.encoding) else f"[U+{ord(c):04X}]" for c in said), err=err)


def echo_line(text: str, err: bool = False) -> None:
    """The same on one line, so that no text that is quoted in it can look like another sentence."""
    echo(" ".join(text.split("\n")), err)


def progress(text: str) -> None:
    """One line on a terminal, overwritten by the next; none clears it. Not into a file."""
    stream = sys.stderr
    if stream.isatty():
        stream.write("\r" + _still(text)[:WIDTH].ljust(WIDTH) + ("" if text else "\r"))
        stream.flush()


def _still(text: str) -> str:
    if all(line.isascii() and line.isprintable() for line in text.split("\n")):
        return text
    # Loaded only now: help and most refusals do without.
    from gristwright.reference.typeface import steered

    return steered(text)


def _known(character: str, encoding: str) -> bool:
    """Whether the terminal, or the file that stands for it, has the character."""
    try:
        character.encode(encoding)
    except UnicodeEncodeError:
        return False
    return True
