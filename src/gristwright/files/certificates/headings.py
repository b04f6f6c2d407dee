"""What a heading of a certificate says: field, unit, basis, method, in English or German. See docs/certificates.md."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache, lru_cache

from gristwright.basics import refuse_if_any
from gristwright.files.certificates.field_rows import field_problems
from gristwright.quantities.units import NEVER_BARE, plain, unit_names
from gristwright.reference import csv_rows

CERTIFICATE = "certificate sha 256"
IDENTITY = ("lot", "lot number", "material", "supplier", "crop", CERTIFICATE, "method", "note")
NOT_READ = "-"
GROUP = re.compile(r"[\[(]([^\[\]()]*)[\])]")
LETTERS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss", "α": "alpha", "β": "beta", "°": "deg", "º": "deg"})
# What may stand before a word of basis, such as in % bez. auf TrS or % i. d. TrS.
BEFORE_BASIS = r"(?:on|auf|in der|in|i\.\s*d\.|i\.|bez\.\s*auf|bezogen auf)"
# D.P. is dp.
INITIALS = re.compile(r"\b(?:[^\W\d_]\.){2,}")
# The factor of protein behind its name, which is said in brackets elsewhere.
FACTOR = re.compile(r"\bN\s*[x×*·]\s*(\d[.,]\d+)", re.IGNORECASE)
# A unit written behind its heading without brackets is at most so many words long.
LONGEST_UNIT = 3
# No heading says its field, unit, basis and method in more characters.
LONGEST_HEADING = 300


@dataclass(frozen=True)
class Heading:
    """One heading. `role` is field, not read, specification, unknown, empty or an identity word."""

    text: str
    role: str
    fields: tuple[str, ...] = ()
    unit: str = ""
    basis: str = ""
    method: str = ""
    note: str = ""

    @property
    def known(self) -> bool:
        """Whether it counts for finding the table."""
        return self.role in ("field", "specification", *IDENTITY)


def normal(text: str) -> str:
    """A heading as the table of headings writes it: lower case, no accents, no punctuation, one space."""
    text = unicodedata.normalize("NFKC", text).casefold()
    text = INITIALS.sub(lambda match: match[0].replace(".", ""), text)
    text = re.sub(r"\bss-?(?=gl[uy][ck])", "beta ", text).replace("ß", "ss").translate(LETTERS)
    text = re.sub(r"(?<=\d),(?=\d)", ".", text)
    text = re.sub(r"(?<!\d)\.|\.(?!\d)|[_\-–—/:;,+*'\"]", " ", text)
    return " ".join(text.split())


@cache
def words(kind: str) -> dict[str, str]:
    """Words of one kind as certificates print them, and what each means."""
    return {
        row["word"].lower(): row["means"] for row in csv_rows("tables/certificate_words.csv") if row["kind"] == kind
    }


@cache
def _known() -> dict[str, tuple[dict[str, str], ...]]:
    refuse_if_any(field_problems((*IDENTITY, NOT_READ)))
    by_text: dict[str, list[dict[str, str]]] = {}
    for row in csv_rows("tables/certificate_headings.csv"):
        by_text.setdefault(row["heading"], []).append(row)
    return {name: tuple(rows) for name, rows in by_text.items()}


@cache
def _unit_spellings() -> frozenset[str]:
    rows = csv_rows("tables/certificate_units.csv")
    own = {plain(name) for row in rows for name in (row["unit"], *row["aliases"].split("|"))}
    kinds = ("diastatic power", "colour", "extract")
    # "extract %" is a heading, not a unit behind one.
    trade_units = [unit for unit in unit_names() if unit.kind in kinds and unit.name != "extract_pct"]
    trade = {plain(alias) for unit in trade_units for alias in (unit.name, *unit.aliases)}
    return frozenset(own | trade | NEVER_BARE)


def is_unit(text: str) -> bool:
    """Whether a text is a unit of some field, basis words set aside; a bare L counts, so that it can be refused."""
    return plain(take_basis(text)[0]) in _unit_spellings()


@cache
def _basis_pattern() -> re.Pattern[str]:
    longest_first = sorted(words("basis"), key=len, reverse=True)
    choices = "|".join(re.escape(word).replace(r"\ ", r"[\s\-]+") for word in longest_first)
    return re.compile(rf"(?<![\w.])(?:{BEFORE_BASIS}\s*)?({choices})(?![\w])", re.IGNORECASE)


def take_basis(text: str) -> tuple[str, str]:
    """The text without its words of basis, and the basis: dry, as is, as HCN, as glycoside or nothing."""
    text = re.sub(r"\b([fc]g)db\b", r"\1 db", text, flags=re.IGNORECASE)
    match = _basis_pattern().search(text)
    if not match:
        return text, ""
    word = re.sub(r"[\s\-]+", " ", match[1].lower())
    basis = words("basis").get(word) or words("basis").get(match[1].lower(), "")
    return " ".join((text[: match.start()] + " " + text[match.end() :]).split()).strip(" ,;"), basis


def take_specification(text: str) -> tuple[str, str]:
    """The text without a leading or closing min or max, and which of the two it was."""
    tokens = text.split()
    marks = words("specification")
    for place in (0, -1):
        if len(tokens) > 1 and (means := marks.get(tokens[place].lower().strip(":,"))):
            del tokens[place]
            return " ".join(tokens), means
    return text, ""


@dataclass
class _Said:
    """What brackets and words around the name say."""

    basis: str = ""
    specification: str = ""
    parts: tuple[str, ...] = ()


@lru_cache(maxsize=4096)
def read_heading(text: str) -> Heading:
    """What a heading says, from the tables alone; unknown when no reading of it is known."""
    text = " ".join(text.split())
    if not text:
        return Heading("", "empty")
    if len(text) > LONGEST_HEADING:
        return Heading(text, "unknown")
    if FACTOR.search(GROUP.sub(" ", text)):
        return replace(read_heading(FACTOR.sub(r"(N x \1)", text)), text=text)
    exact = _known().get(normal(text))
    if exact:
        return _heading(text, exact, "", "", "")
    base, basis = take_basis(GROUP.sub(" ", text))
    base, specification = take_specification(base)
    said = _said_in_brackets(text)
    basis, specification = basis or said.basis, specification or said.specification
    reading = next(_readings(base, list(said.parts)), None)
    if reading is None:
        return Heading(text, "unknown", basis=basis)
    rows, unit, left = reading
    heading = _heading(text, rows, unit, basis, " ".join(left))
    return replace(heading, role="specification") if specification and heading.role == "field" else heading


def _said_in_brackets(text: str) -> _Said:
    said = _Said()
    for part in (p.strip() for group in GROUP.findall(text) for p in re.split(r";|,(?!\d)", group)):
        rest, basis = take_basis(part)
        said.basis = said.basis or basis
        if rest.lower() in words("specification"):
            said.specification = words("specification")[rest.lower()]
        elif rest:
            said.parts = (*said.parts, rest)
    return said


def _readings(base: str, parts: list[str]) -> Iterator[tuple[tuple[dict[str, str], ...], str, list[str]]]:
    """Rows, unit and words left over of every reading: with all brackets, with one of them, with none."""
    choices = [parts, *([part] for part in parts), []]
    for in_name in choices:
        left = [part for part in parts if part not in in_name]
        for name, unit in _with_brackets(base, in_name):
            rows = _known().get(normal(name))
            if rows:
                own = unit or next((part for part in left if is_unit(part)), "")
                yield rows, own, [part for part in left if part != own or unit]


def _with_brackets(base: str, in_name: list[str]) -> Iterator[tuple[str, str]]:
    """Name and unit with words out of brackets added: the unit may stand before or behind them."""
    yield from _peeled(" ".join([base, *in_name]))
    for name, unit in _peeled(base) if in_name else ():
        yield " ".join([name, *in_name]), unit


def _peeled(text: str) -> Iterator[tuple[str, str]]:
    """The text as a name, and as a name with a unit behind or before it."""
    yield text, ""
    tokens = text.split()
    for size in range(1, min(LONGEST_UNIT, len(tokens) - 1) + 1):
        behind, before = " ".join(tokens[-size:]), " ".join(tokens[:size])
        if is_unit(behind.strip(",;:")):
            rest = tokens[:-size]
            yield (
                " ".join(rest[:-1] if len(rest) > 1 and rest[-1].lower() == "in" else rest).strip(",;:"),
                behind.strip(",;:"),
            )
        if is_unit(before):
            yield " ".join(tokens[size:]), before


def _heading(text: str, rows: tuple[dict[str, str], ...], unit: str, basis: str, method: str) -> Heading:
    first = rows[0]
    if first["field"] == NOT_READ:
        return Heading(text, "not read", note=first["note"])
    if first["field"] in IDENTITY:
        return Heading(text, first["field"])
    fields = tuple(row["field"] for row in rows)
    return Heading(text, "field", fields, unit or first["unit"], basis, method or first["method"])
