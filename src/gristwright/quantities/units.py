"""Names of units in text at the edge: parsing, aliases, and the refusal of what can be read two ways.

See docs/quantities.md.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from gristwright.basics import Problem, Refused
from gristwright.reference.load import csv_rows
from gristwright.reference.spelling import close_to

# Two enzymes and colours have been mixed up over this letter; no field name makes it safe.
NEVER_BARE = frozenset({"l", "degl"})
L_READINGS = "degrees Lintner (degLintner), degrees Lovibond (degLovibond) or litres (litre)"
LONGEST_QUOTED = 60
_QUANTITY = re.compile(r"([+\-−]?[0-9][0-9.,]*(?:[eE][+\-]?[0-9]+)?|[+\-−]?[.,][0-9]+)(.*)", re.DOTALL)
# No number of the trade has more letters, none is larger, and none but nothing itself is smaller.
LONGEST_NUMBER = 60
LARGEST, SMALLEST = 1e15, 1e-15
_GROUPED = re.compile(r"^[+\-]?[1-9][0-9]{0,2},[0-9]{3}$")


@dataclass(frozen=True)
class UnitName:
    """A unit as the package writes it, what it measures, other names for it, and its meaning in words."""

    name: str
    kind: str
    aliases: tuple[str, ...]
    meaning: str


@dataclass(frozen=True)
class Quantity:
    """A number with the unit it was written in."""

    value: float
    unit: UnitName


def plain(text: str) -> str:
    """A unit's text without what does not tell units apart: degree sign, case, spaces, underscores."""
    text = text.replace("°", "deg").replace("º", "deg").replace("³", "3")
    return re.sub(r"[\s_]+", "", text).casefold()


@cache
def unit_names() -> tuple[UnitName, ...]:
    """Every unit known, in the order of the table."""
    rows = csv_rows("tables/unit_names.csv")
    return tuple(UnitName(r["name"], r["kind"], tuple(r["aliases"].split("|")), r["meaning"]) for r in rows)


@cache
def _by_plain_text() -> dict[str, tuple[UnitName, ...]]:
    by_text: dict[str, list[UnitName]] = {}
    for unit in unit_names():
        for text in dict.fromkeys(plain(name) for name in (unit.name, *unit.aliases)):
            by_text.setdefault(text, []).append(unit)
    # A unit's own name wins over an alias of another.
    own = {plain(unit.name): (unit,) for unit in unit_names()}
    return {text: tuple(units) for text, units in by_text.items()} | own


def candidates(text: str) -> tuple[UnitName, ...]:
    """Every unit a text may mean; none when unknown. Raises Refused for a bare L."""
    if plain(text) in NEVER_BARE:
        what = f"'{text.strip()}' alone may mean {L_READINGS}."
        raise Refused([Problem("unit", what, "Write the one you mean.")])
    return _by_plain_text().get(plain(text), ())


def find_unit(text: str, kind: str | None = None) -> UnitName:
    """The one unit a text means; `kind` (as in the table) settles names that stand for two.

    Raises Refused when the unit is unknown, can be read two ways, or measures something else.
    """
    names = candidates(text)
    fitting = tuple(unit for unit in names if kind in (None, unit.kind))
    if len(fitting) == 1:
        return fitting[0]
    raise Refused([_unit_problem(text, names, fitting, kind)])


def _unit_problem(text: str, names: tuple[UnitName, ...], fitting: tuple[UnitName, ...], kind: str | None) -> Problem:
    if not text.strip():
        return Problem("unit", "the number stands alone.", "Write its unit after it, such as 317 degWK.")
    if not names:
        return Problem("unit", f"'{text}' is not known.", _suggestion(text, kind))
    if not fitting:
        measured = " or ".join(dict.fromkeys(unit.kind for unit in names))
        return Problem("unit", f"'{text}' measures {measured}, not {kind}.", _suggestion("", kind))
    readings = " or ".join(f"{unit.meaning} ({unit.name})" for unit in fitting)
    return Problem("unit", f"'{text}' may mean {readings}.", "Write the one you mean.")


def _suggestion(text: str, kind: str | None) -> str:
    names = [unit.name for unit in unit_names() if kind in (None, unit.kind)]
    near = close_to(text, names, 3, 0.5)
    return "Known are " + ", ".join(near or names) + "."


def begun(text: str) -> str:
    """A text as it is quoted in a sentence: a long one by its beginning."""
    return text if len(text) <= LONGEST_QUOTED else f"{text[:LONGEST_QUOTED]}…"


def parse_number(text: str) -> float:
    """A number typed with a decimal point or a decimal comma.

    Raises Refused for text, for both signs together, for what is far too large or small, and for 1,000, which may be
    one or a thousand.
    """
    plain_text = text.strip().replace("−", "-")
    if len(plain_text) > LONGEST_NUMBER:
        what = f"'{plain_text[:LONGEST_NUMBER]}…' is not a number: it has {len(plain_text)} characters."
        raise Refused([Problem("number", what, "Write digits with one decimal point or comma.")])
    if _GROUPED.match(plain_text):
        what = f"'{text}' may be a thousand or a decimal comma."
        raise Refused(
            [Problem("number", what, f"Write {plain_text.replace(',', '')} or {plain_text.replace(',', '.')}.")]
        )
    try:
        number = float(plain_text.replace(",", ".") if plain_text.count(",") == 1 else plain_text)
    except ValueError:
        number = float("nan")
    # Python also reads digits of other scripts and 1_000, which nobody is sure to mean.
    if not abs(number) < float("inf") or "_" in plain_text or not plain_text.isascii():
        raise Refused(
            [Problem("number", f"'{begun(text)}' is not a number.", "Write digits with one decimal point or comma.")]
        )
    if said := unlikely(number):
        raise Refused([Problem("number", f"'{text}' {said}", "Correct it.")])
    return number + 0.0  # and no nothing with a minus before it


def unlikely(number: float) -> str:
    """What is said of a number that nothing here can be, and that would overflow what is computed with it."""
    if not abs(number) <= LARGEST:
        return f"is larger than anything that is measured or counted here ({LARGEST:g})."
    if 0.0 < abs(number) < SMALLEST:
        return f"is smaller than anything that is measured here ({SMALLEST:g})."
    return ""


def parse_quantity(text: str, kind: str | None = None) -> Quantity:
    """A number with its unit, such as "317 degWK", "4,5 °C" or "308 L°/kg".

    Raises Refused naming the number and the unit that cannot be read, both at once.
    """
    split = _QUANTITY.fullmatch(text.strip())
    if split is None:
        what = f"'{begun(text)}' does not begin with a number."
        raise Refused([Problem("quantity", what, "Write a number and its unit, such as 317 degWK.")])
    problems: list[Problem] = []
    value, unit = 0.0, unit_names()[0]
    try:
        value = parse_number(split[1])
    except Refused as refused:
        problems += refused.problems
    try:
        unit = find_unit(split[2].strip(), kind)
    except Refused as refused:
        problems += refused.problems
    if problems:
        raise Refused(problems)
    return Quantity(value, unit)
