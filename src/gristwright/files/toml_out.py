"""Plain data as a TOML text that reads back as it was: the other way round from `toml_in`. See docs/files.md."""

from __future__ import annotations

import datetime as dt
import json
import math
import re
from collections.abc import Iterator, Mapping
from typing import Any

BARE = re.compile(r"[A-Za-z0-9_-]+")


def toml_text(data: Mapping[str, Any]) -> str:
    """Tables, lists of tables, texts, numbers, dates and yes or no. Raises TypeError for what TOML has no word for."""
    return "\n".join(_table(data, ())).lstrip("\n") + "\n"


def _table(data: Mapping[str, Any], path: tuple[str, ...]) -> Iterator[str]:
    """Its plain fields first: what follows a heading belongs to that."""
    for key, value in data.items():
        if not _headed(value):
            yield f"{_key(key)} = {_value(value)}"
    for key, value in data.items():
        if _headed(value):
            yield from _below(value, (*path, key))


def _below(value: Any, path: tuple[str, ...]) -> Iterator[str]:
    heading = ".".join(map(_key, path))
    if isinstance(value, Mapping):
        yield from ("", f"[{heading}]", *_table(value, path))
        return
    for one in value:
        yield from ("", f"[[{heading}]]", *_table(one, path))


def _headed(value: Any) -> bool:
    """Whether it is a table or a list of tables, which stand under headings of their own."""
    several = isinstance(value, list | tuple) and bool(value) and all(isinstance(one, Mapping) for one in value)
    return isinstance(value, Mapping) or several


def _key(name: str) -> str:
    return name if BARE.fullmatch(name) else _text(name)


def _value(value: Any) -> str:
    match value:
        case bool():
            return "true" if value else "false"
        case int():
            return str(int(value))
        case float() if math.isfinite(value):
            return repr(float(value))
        case str():
            return _text(value)
        case dt.date() if type(value) is dt.date:
            return value.isoformat()
        case list() | tuple() if not any(isinstance(one, Mapping) for one in value):
            return f"[{', '.join(map(_value, value))}]"
    raise TypeError(f"{value!r} has no place in a TOML file")


def _text(text: str) -> str:
    """JSON escapes what TOML does but for one sign, and by the same letters."""
    text.encode()  # half a character is none
    return json.dumps(text, ensure_ascii=False, allow_nan=False).replace("\x7f", "\\u007f")
