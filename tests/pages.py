"""A page of the desk as a person reads it."""

from __future__ import annotations

import re
from html import escape, unescape
from typing import Any


def words(answer: Any) -> str:
    """The text of a page, its tags and the marks of its characters taken away."""
    return unescape(re.sub(r"<[^>]+>", "", answer.content.decode()))


def link_of(answer: Any, text: str) -> str:
    """Where the link of this text leads."""
    found = re.search(rf'<a href="([^"]*)">{re.escape(escape(text))}</a>', answer.content.decode())
    assert found, f"no link {text!r}"
    return unescape(found[1])


def field(answer: Any, id_: str) -> str:
    """The tag of the field with this id, which stands on the page once."""
    found = re.findall(
        rf'<(?:input|select|textarea|fieldset)[^>]*\bid="{re.escape(id_)}"[^>]*>', answer.content.decode()
    )
    assert len(found) == 1, f"{len(found)} fields with the id {id_!r}"
    return str(found[0])
