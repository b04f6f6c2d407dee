"""The types whose names are nearest to a name that is none: by what its words mean, then by how it is spelt.

Data: as in reference/type_names.py.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from gristwright.reference.load import toml_table
from gristwright.reference.spelling import folded
from gristwright.reference.type_names import said

MOST = 3
# Below it two names have hardly anything in common.
ALIKE = 0.25
# Words that nearly every name holds, and that tell none apart.
COMMON = {"malt"}


def nearest(word: str, most: int = MOST) -> list[str]:
    """The types whose words mean the same or are spelt alike, the nearest first; none of another grain than said."""
    meant, pieces, grains = _meant(word) - COMMON, _pieces(word), _grains(word)
    near: dict[str, float] = {}
    for key, one in toml_table("tables/types.toml")["type"].items():
        same = len(meant & _meant_by(one)) / len(meant) if meant else 0.0
        spelt = _pieces(f"{key} {one['title']} {one['species']}".replace("_", " "))
        alike = len(pieces & spelt) / len(pieces) if pieces else 0.0
        near[key] = 2 * same + alike if not grains or one["species"] in grains else 0.0
    return sorted((key for key in near if near[key] >= ALIKE), key=lambda key: -near[key])[:most]


def types_of(text: str) -> list[str]:
    """Every type of the grain, the way of making or the smoke that a text names, such as rye, caramel or peated, in the
    order of the table; also those that have it in their key or title."""
    meant, grains, plain = _meant(text), _grains(text), folded(text)
    found = []
    for key, one in toml_table("tables/types.toml")["type"].items():
        named = f"{folded(key)} {folded(str(one['title']))}"
        by_words = (
            bool(meant)
            and meant <= (_meant_by(one) | _meant(key.replace("_", " ")))
            and (not grains or one["species"] in grains)
        )
        if by_words or (len(plain) > 2 and plain in named):
            found.append(key)
    return found


def _words(text: str) -> list[str]:
    return re.findall(r"[^\W\d_]+", text)


def _grains(text: str) -> set[str]:
    return {grain for word in _words(text) if (name := said(word)) for grain in name.of("cereal")}


def _meant(text: str) -> set[str]:
    """What the words of a name mean, those that are known."""
    return {meaning for word in _words(text) if (name := said(word)) for meaning in name.words}


def _meant_by(one: Mapping[str, Any]) -> set[str]:
    smoke = {one["smoke"], "smoked"} if "smoke" in one else set()
    form = {"husk"} if one["form"] == "husk" else {"flaked"} if one["process"] == "flaked" else set()
    state = {"malt"} if one["malted"] else form or {"raw"}
    return _meant(str(one["title"])) | {str(one["species"])} | smoke | state


def _pieces(text: str) -> set[str]:
    """Every three letters in a row of each word of a text."""
    words = [word for word in _words(text.casefold()) if word not in ("malt", "malz")]
    return {word[n : n + 3] for word in words for n in range(len(word) - 2)}
