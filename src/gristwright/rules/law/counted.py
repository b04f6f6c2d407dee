"""What a rule on shares counts, in words: malted barley, unmalted grain as fraction or husk, what is no cereal."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any


def counted(where: Mapping[str, Any]) -> str:
    """The parts of a mash that a selector selects, as a sentence names them."""
    how = ("malted " if where["malted"] else "unmalted ") if "malted" in where else ""
    words = f"{how}{_grain(where, bool(how))}"
    for name, joint in (("form", " as "), ("form_not", ", not as "), ("process", ", "), ("process_not", ", not ")):
        if name in where:
            words += f"{joint}{_either(where[name])}"
    return words


def _grain(where: Mapping[str, Any], told_how: bool) -> str:
    if "species" in where:
        return _either(where["species"])
    if "species_not" not in where:
        return "grain"
    if any(word[:1] == "@" for word in where["species_not"]) and not told_how:
        return f"what is no {_either(where['species_not'], one=True)}"
    return f"grain other than {_either(where['species_not'])}"


def _either(words: Iterable[str], one: bool = False) -> str:
    """Words with an or between the last two; a list stands by its name, in the singular for `one`."""
    named = [word.removeprefix("@").removesuffix("s" if one and word[:1] == "@" else "") for word in words]
    return " or ".join(filter(None, (", ".join(named[:-1]), named[-1])))
