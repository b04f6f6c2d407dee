"""What a command prints on a terminal: nothing out of a file or an argument can steer it. See docs/commands.md."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterable

import click

WIDTH = 79
# So many sentences of one kind are printed, and so many of all kinds; of more only their number.
MOST_ALIKE, MOST_TOLD = 50, 500
_QUOTED = re.compile(r"'[^']*'|\"[^\"]*\"")


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


def first_of_each(sentences: Iterable[str]) -> list[str]:
    """What is printed of many sentences: the first of each kind, and how many more there are like them.

    Sentences are of one kind that differ only in what they quote and in words with digits.
    """
    shown, count, first = list[str](), dict[str, int](), dict[str, str]()
    for sentence in sentences:
        kind = _kind(sentence)
        first.setdefault(kind, sentence)
        count[kind] = count.get(kind, 0) + 1
        if count[kind] <= MOST_ALIKE:
            shown.append(sentence)
    alike = [(many - MOST_ALIKE, first[kind]) for kind, many in count.items() if many > MOST_ALIKE]
    more = [f"And {many} more like this: {sentence}" for many, sentence in alike]
    told = shown[:MOST_TOLD], more[:MOST_ALIKE]
    untold = sum(count.values()) - len(told[0]) - sum(many for many, _ in alike[:MOST_ALIKE])
    return [*told[0], *told[1], *([f"And {untold} more."] if untold else [])]


def _kind(sentence: str) -> str:
    words = _QUOTED.sub("#", sentence).split(" ")
    return " ".join("#" if any(map(str.isdigit, word)) else word for word in words)


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
