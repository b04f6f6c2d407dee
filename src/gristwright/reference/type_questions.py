"""What a name of a type leaves open, asked with the way out; what is not plain is never guessed. See docs/types.md.

Data: as in reference/type_names.py.
"""

from __future__ import annotations

from gristwright.reference.grains import grains, usual
from gristwright.reference.near_types import nearest
from gristwright.reference.spelling import nearest as nearest_words
from gristwright.reference.type_names import NameMeaning, colours_of, said, type_words, types_table

LISTED = "gristwright types lists what there is."
# From here on a name is one of the table's with a letter amiss.
MISSPELT = 0.87
# A maker's own name says nothing that can be reckoned with: the law asks the grain, the mash whether it is malted.
ASKED = (
    "what it is: which grain, malted or raw, and how it was made, such as wheat malt or oak-smoked wheat malt. "
    "A maker's own name goes into a map of its certificates."
)


def _smokes() -> list[str]:
    return sorted({str(entry["smoke"]) for entry in types_table().values() if "smoke" in entry})


def left_open(text: str) -> tuple[str, str] | None:
    """What a name in plain words leaves open or asks that is not known, and the way out; None for other words."""
    name = said(text)
    if name is None or len(name.of("cereal")) > 1:
        return None
    return next(filter(None, (answer(name) for answer in (_no_smoke, _not_malted, _open, _no_such_malt, _state))), None)


def not_a_type(text: str) -> tuple[str, str]:
    """What is wrong with a name that names no type, and the way out."""
    what, way_out = left_open(text) or ("is not in the types table.", which(text))
    return f"material {text!r} {what}", way_out


def which(text: str) -> str:
    """The type that is meant where it is misspelt; else the nearest, and what a maker's own name must be told by."""
    titles = {key: str(entry["title"]) for key, entry in types_table().items()}
    if meant := nearest_words(text, [*titles, *titles.values()], 1, MISSPELT):
        key = next(key for key, title in titles.items() if meant[0] in (key, title))
        return f"Did you mean {key}?"
    near = nearest(text)
    use = (
        f"Use one of: {', '.join(near)}. Or say"
        if len(near) > 1
        else f"Did you mean {near[0]}? Or say"
        if near
        else "Say"
    )
    return f"{use} {ASKED}"


def _no_smoke(name: NameMeaning) -> tuple[str, str] | None:
    """Smoked, but not with what; or a wood, but no smoke."""
    smoked, woods = "smoked" in name.words, name.of("smoke")
    if smoked and not woods:
        *first, last = _smokes()
        way_out = f"Write it with {', '.join(first)} or {last}, such as oak-smoked malt. {LISTED}"
        return "does not say what it was smoked with.", way_out
    if woods and not smoked:
        return "names a wood and no smoke.", f"Write {name.way} malt if it is smoked. {LISTED}"
    return None


def _not_malted(name: NameMeaning) -> tuple[str, str] | None:
    """Smoked grain that may be malt or not."""
    if "smoked" not in name.words or name.of("state"):
        return None
    cereal = "" if name.cereal == usual() else f"{name.cereal} "
    return "does not say whether it is malted.", f"Write {name.way} {cereal}malt if it is; the law asks. {LISTED}"


def _open(name: NameMeaning) -> tuple[str, str] | None:
    """A malt that comes in several colours and does not say which."""
    same = colours_of(name)
    if name.of("shade") or len(same) < 2:
        return None
    titles = ", ".join(str(types_table()[key]["title"]) for key in same)
    return "comes in several colours.", f"Write one of: {titles}; or its colour, such as 150 EBC."


def _no_such_malt(name: NameMeaning) -> tuple[str, str] | None:
    """A malt made in a way that is known of other cereals, or with a smoke that no table knows."""
    if not name.way or "malt" not in name.words:
        return None
    cereal = f"{name.cereal} " if name.of("cereal") else ""
    what = f"names no type: {name.way} {cereal}malt is not known here as a type; {_known_of(name)}."
    return what, _instead(name)


def _known_of(name: NameMeaning) -> str:
    """What is known of the way a malt was made: the cereals, or the smokes where the smoke itself is not known."""
    if set(name.of("smoke")) - set(_smokes()):
        return f"smokes known are {', '.join(_smokes())}"
    asked = {*name.of("smoke"), *name.of("way")}
    cereals = [
        str(types_table()[key]["species"]) for words, key in type_words().items() if asked <= words and "malt" in words
    ]
    return f"{name.way} malt is known of {' and '.join(dict.fromkeys(cereals)) or 'no cereal'}"


def _instead(name: NameMeaning) -> str:
    """What to do with such a lot: the plain malt of its own cereal, with figures of its own."""
    plain = [
        key
        for key, entry in types_table().items()
        if (entry["species"], entry["malted"], entry["process"]) == (name.cereal, True, "none")
    ]
    if not plain:
        return f"No malt of {name.cereal} is known here. {LISTED}"
    smoke = ", phenols" if "smoked" in name.words else ""
    return (
        f"Enter it as {plain[0]} with its own figures on the certificate (moisture, extract, fermentability{smoke}), "
        f"never as a type of another cereal: the law asks the cereal. {LISTED}"
    )


def _state(name: NameMeaning) -> tuple[str, str] | None:
    """A grain, and nothing said of what was done to it."""
    if len(name.words) > 1 or not name.of("cereal"):
        return None
    kept = grains()[name.cereal].mashed
    ways = [f"{name.cereal} malt" if kept and kept.malt else "", f"raw {name.cereal}" if kept and kept.raw else ""]
    if not any(ways):
        return f"names a grain of which no type is known: {name.cereal}.", LISTED
    return "does not say whether it is malted.", f"Write {' or '.join(filter(None, ways))}; the law asks. {LISTED}"
