"""What somebody said of the words of a certificate file: headings, names of malts, units, lines. See docs/desk.md."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from gristwright.files.certificates import ROLES, Column, Mapping, near_fields
from gristwright.quantities.shown import capital
from gristwright.reference.near_types import nearest
from gristwright.stages.grist.certificate_units import Field, fields
from gristwright.stages.grist.materials import materials
from gristwright.workbench.lot_form import types_by_group
from gristwright.workbench.mending import place_of
from gristwright.workbench.templatetags.desk import degrees

Groups: TypeAlias = list[tuple[str, list[tuple[str, str]]]]
HEADING, MATERIAL, UNIT, CONSTANT, LINE, MERGED = "heading", "material", "unit", "constant", "line", "merged"
METHOD = "method"
KINDS = {
    HEADING: "heading",
    MATERIAL: "type of malt",
    UNIT: "unit",
    CONSTANT: "every lot",
    LINE: "one lot",
    MERGED: "merged cell",
    METHOD: "method",
}
IGNORED, FORGOTTEN = "-", "?"
ROLE = "="
# Of a line: that it is no lot at all.
WHOLE, OUT, EACH = "line", "-", "each"
ROLE_WORDS = {
    "lot": "the name of the lot",
    "lot number": "the lot number of the supplier",
    "material": "the type of malt or grain",
    "supplier": "the supplier",
    "crop": "the crop",
}


@dataclass(frozen=True)
class Explained:
    """One thing said of a file: what kind of word, the word, what it means."""

    what: str
    word: str
    means: str
    since: str = ""  # when it was said, of something that is remembered
    of: str = ""  # the supplier it is remembered of

    @property
    def line(self) -> dict[str, str]:
        """As a file keeps it."""
        more = {"since": self.since, "of": self.of} if self.since else {}
        return {"what": self.what, "heading": self.word, "means": self.means, **more}

    @property
    def kind(self) -> str:
        """What kind of word it is, in plain English."""
        return KINDS.get(self.what, self.what)

    @property
    def shown(self) -> str:
        """The word as the page says it."""
        if self.what == CONSTANT:
            return ROLE_WORDS.get(self.word, self.word)
        if self.what == MERGED:
            place = place_of(self.word)
            return place.of("").words if place else self.word
        line = line_of(self.word) if self.what == LINE else None
        return f"{ROLE_WORDS.get(line[0], 'what stands')} in line {line[2]}" if line else self.word

    @property
    def groups(self) -> Groups:
        """What it can mean; nothing where it is any text."""
        return choices(self.what, self.word)

    @property
    def told(self) -> str:
        """What it means, in plain English."""
        flat = {value: text for _, group in self.groups for value, text in group}
        return flat.get(self.means, self.means)


def said_in(lines: Iterable[dict[str, str]]) -> tuple[Explained, ...]:
    """What a file keeps of it."""
    return tuple(
        Explained(line.get("what", HEADING), line["heading"], line["means"], line.get("since", ""), line.get("of", ""))
        for line in lines
    )


def mapping_of(said: Sequence[Explained]) -> Mapping:
    """How a file is read with all that was said of it."""
    headings = [one for one in said if one.what == HEADING]
    lines = [(line, one.means) for one in said if one.what == LINE and (line := line_of(one.word))]
    merged = [place for one in said if one.what == MERGED and (place := place_of(one.word))]
    given: dict[tuple[str, int], dict[str, str]] = {}
    for line, means in lines:
        if line[0] != WHOLE:
            given.setdefault(line[1:], {})[line[0]] = means
    return Mapping(
        ignore=tuple(one.word for one in headings if one.means == IGNORED),
        identity={one.word: one.means[1:] for one in headings if one.means[:1] == ROLE and one.means[1:] in ROLES},
        columns=tuple(column for one in headings if (column := column_for(one.word, one.means))),
        constants={one.word: one.means for one in said if one.what == CONSTANT},
        materials={one.word: one.means for one in said if one.what == MATERIAL},
        units={one.word: one.means for one in said if one.what == UNIT},
        methods={one.word: one.means for one in said if one.what == METHOD},
        given=given,
        left_out=frozenset(line[1:] for line, _ in lines if line[0] == WHOLE),
        spread=frozenset((place.sheet, place.row, place.column) for place in merged),
    )


def line_word(role: str, sheet: str, number: int) -> str:
    """A line of a sheet and what of the lot in it is said, as one word for a form."""
    return f"{role}:{number}:{sheet}"


def line_of(word: str) -> tuple[str, str, int] | None:
    """Role, sheet and number of the line that `line_word` wrote; None for anything else."""
    match = re.fullmatch(r"([a-z ]+):(\d{1,6}):(.*)", word)
    return (match[1], match[3], int(match[2])) if match and match[1] in (*ROLES, WHOLE) else None


def column_for(heading: str, means: str) -> Column | None:
    """A heading as the field, unit and basis chosen for it; None for no field."""
    name, _, rest = means.partition(" ")
    unit, _, basis = rest.partition(" ")
    field = fields().get(name)
    if field is None or unit not in field.units:
        return None
    return Column(name, unit, basis or field.basis, "", heading)


def will_do(one: Explained) -> bool:
    """Whether it is something that the page offers."""
    groups = one.groups
    if one.means == FORGOTTEN:
        return True
    if (one.what == LINE and line_of(one.word) is None) or (one.what == MERGED and place_of(one.word) is None):
        return False
    return one.what in KINDS and (not groups or any(one.means == value for _, group in groups for value, _ in group))


def choices(what: str, word: str) -> Groups:
    """What a word of this kind can mean, what is called alike first; nothing where any text will do."""
    if what == HEADING:
        return heading_choices([fields()[name] for name in near_fields(word)])
    if what == MATERIAL or (what == CONSTANT and word == "material"):
        return type_choices(word if what == MATERIAL else "")
    if what == LINE and (line_of(word) or ("",))[0] == "material":
        return type_choices("")
    if what == LINE and (line_of(word) or ("",))[0] == WHOLE:
        return [("", [(OUT, "left out: it is no lot, or stands twice")])]
    if what == MERGED:
        return [("", [(EACH, "the value of each lot it spans")])]
    if what == UNIT:
        return unit_choices("")
    return []


def heading_choices(near: Sequence[Field]) -> Groups:
    """Every analysis in every unit it comes in, those that are near first, and what a heading can be besides."""
    others = [(IGNORED, "nothing: leave it out"), *((f"{ROLE}{role}", ROLE_WORDS[role]) for role in ROLES)]
    every = [_meaning(field, unit) for field in fields().values() for unit in field.units]
    groups: Groups = [("Nearest", [choice for field in near for choice in _on_each_basis(field)])] if near else []
    return [*groups, ("No analysis", others), ("Every analysis", every)]


def _meaning(field: Field, unit: str, basis: str = "") -> tuple[str, str]:
    printed = f", printed {basis}" if basis else ""
    value = f"{field.name} {unit} {basis}".strip()
    return value, f"{capital(degrees(field.title))}{printed} [{degrees(unit)}]"


def _on_each_basis(field: Field) -> list[tuple[str, str]]:
    other = {"dry": "as is", "as is": "dry"}.get(field.basis)
    plain = [_meaning(field, unit) for unit in field.units]
    return plain + [_meaning(field, unit, other) for unit in field.units if other]


def type_choices(word: str) -> Groups:
    """Every type by title, those called most like a word first."""
    near = [(key, materials()[key].title) for key in nearest(word)]
    return [*([("Nearest", near)] if near else []), *types_by_group()]


def unit_choices(field: str) -> Groups:
    """The units of a field; of no field in particular every one."""
    known = fields().get(field)
    units = known.units if known else tuple(dict.fromkeys(u for one in fields().values() for u in one.units))
    return [("Units", [(unit, degrees(unit)) for unit in units])]
