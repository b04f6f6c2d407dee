"""What is wrong with a line that is no TOML, in plain words and with the line as it should be. See docs/files.md."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from typing import TypeAlias

from gristwright.basics import Address, Problem

# What is wrong and the way out, of one line; None where it is something else.
Words: TypeAlias = "tuple[str, str] | None"
LINE = re.compile(r"\(at line (\d+), column \d+\)")
PAIR = re.compile(r"(?P<key>[^=#\[\]\s][^=#\[\]]*)=(?P<value>.*)")
DECIMAL_COMMA = re.compile(r"^[+-]?\d+,\d+$")
THOUSANDS = re.compile(r"^[+-]?[1-9]\d{0,2}(?:,\d{3})+$")
BOTH_MARKS = re.compile(r"^[+-]?\d{1,3}(?:\.\d{3})+,\d+$|^[+-]?\d{1,3}(?:,\d{3})+\.\d+$|^[+-]?\d{1,3}(?:\.\d{3}){2,}$")
DAY_FIRST = re.compile(r"^(\d{1,2})([./-])(\d{1,2})\2(\d{4})$")
YEAR_FIRST = re.compile(r"^(\d{4})[-./](\d{1,2})[-./](\d{1,2})$")
WITH_UNIT = re.compile(r"^(?P<number>[+-]?\d+(?:[.,]\d+)?)\s*(?P<unit>[^\d\s.,\]\[}{\"'_:+-][^\"'=]*)$")
BARE_WORD = re.compile(r"^[^\W\d][\w .&/()-]*$")
COLON = re.compile(r"(?P<key>[\w.-]+)\s*:\s*(?P<value>\S.*)")
PLAIN_KEY = re.compile(r"^[A-Za-z0-9_-]+(?:\s*\.\s*[A-Za-z0-9_-]+)*$")
CURLY = str.maketrans(dict.fromkeys("“”„‟«»", '"') | dict.fromkeys("‘’‚‛", "'"))
SHOWN = 60
# What is wrong with a line of more is in its beginning, or is its length.
LONGEST_LINE = 2_000


def line_problem(name: str, text: str, error: str) -> Problem:
    """The fault of a file whose parser stopped with `error`, at the line it stands in."""
    found = LINE.search(error)
    # As the parser counts them.
    lines = text.replace("\r\n", "\n").split("\n")
    number = min(int(found[1]), len(lines)) if found else len(lines)
    line = lines[number - 1].strip()[:LONGEST_LINE]
    what, way_out = next(filter(None, (one(line, error) for one in READINGS)), _unknown(line, error))
    return Problem(Address(name, row=number), what, way_out)


def _unknown(line: str, error: str) -> tuple[str, str]:
    said = f"{line.strip()[:SHOWN]!r} cannot be read" if line.strip() else "the file ends in the middle of something"
    why = LINE.sub("", error).strip()
    return f"{said} ({why[:1].lower()}{why[1:]}).", "Write a line as name = value, with texts in quotes."


def _pair(line: str) -> tuple[str, str] | None:
    """Name and value of a line, without what is remarked behind it."""
    match = PAIR.fullmatch(line.strip())
    if not match:
        return None
    value = match["value"].strip()
    return match["key"].strip(), value.split("#")[0].strip() if not set("\"'") & set(value) else value


def _twice(line: str, error: str) -> Words:
    if not any(said in error for said in ("Cannot overwrite", "twice", "Cannot declare", "Cannot mutate")):
        return None
    heading = line.strip().strip("[]")
    if line.strip().startswith("[["):
        return f"[{heading}] stands above it in single brackets.", f"Write each of them as [[{heading}]]."
    pair = _pair(line)
    if line.strip().startswith("["):
        return f"[{heading}] stands here a second time.", "Put its lines under one heading."
    return (f"{pair[0]} stands here a second time.", "Keep one of the two lines.") if pair else None


def _curly(line: str, error: str) -> Words:
    plain = line.translate(CURLY)
    if plain == line:
        return None
    return "the quotes are typographic.", f"Write plain ones: {plain.strip()}."


def _open_quote(line: str, error: str) -> Words:
    pair = _pair(line)
    if not pair or pair[1][:1] not in ("'", '"') or pair[1].count(pair[1][0]) != 1:
        return None
    text = pair[1][1:].strip()
    return "the quote is not closed.", f"Write {pair[0]} = {pair[1][0]}{text}{pair[1][0]}."


def _colon(line: str, error: str) -> Words:
    match = COLON.fullmatch(line.strip())
    if not match or _pair(line):
        return None
    return f"a colon stands behind {match['key']}.", f"Write {match['key']} = {match['value'].strip()}."


def _key(line: str, error: str) -> Words:
    pair = _pair(line)
    if not pair or PLAIN_KEY.match(pair[0]) or pair[0][:1] in ("'", '"'):
        return None
    return f"the name {pair[0]} needs quotes.", f'Write "{pair[0]}" = {pair[1]}.'


def _number(line: str, error: str) -> Words:
    key, value = _pair(line) or ("", "")
    if THOUSANDS.match(value):
        plain = value.replace(",", "")
        other = f" or {value.replace(',', '.')}" if value.count(",") == 1 else ""
        return f"{value} may be a thousand or a decimal comma.", f"Write {key} = {plain}{other}."
    if DECIMAL_COMMA.match(value):
        return f"{value} has a decimal comma.", f"Write a decimal point: {key} = {value.replace(',', '.')}."
    if BOTH_MARKS.match(value):
        mark = max(".,", key=value.rfind) if {*".,"} <= set(value) else ""
        plain = "".join("." if c == mark else c for c in value if c not in ".," or c == mark)
        return f"{value} has marks between its thousands.", f"Write a decimal point alone: {key} = {plain}."
    return None


def _date(line: str, error: str) -> Words:
    key, value = _pair(line) or ("", "")
    if match := DAY_FIRST.match(value):
        day, mark, month, year = match.groups()
        written = f"{year}-{int(month):02d}-{int(day):02d}"
        which = ", if the day stands first" if mark != "." and int(day) <= 12 else ""
        if not _is_day(year, month, day):
            return f"{value} is no day of the calendar.", f"Write year, month and day: {key} = 2026-11-25."
        return f"{value} is not how a date is written here.", f"Write {key} = {written}{which}."
    if match := YEAR_FIRST.match(value):
        year, month, day = match.groups()
        if not _is_day(year, month, day):
            return f"{value} is no day of the calendar.", f"Write year, month and day: {key} = 2026-11-25."
        written = f"{year}-{int(month):02d}-{int(day):02d}"
        return f"{value} is not how a date is written here.", f"Write {key} = {written}."
    return None


def _is_day(year: str, month: str, day: str) -> bool:
    try:
        dt.date(int(year), int(month), int(day))
    except ValueError:
        return False
    return True


def _word(line: str, error: str) -> Words:
    key, value = _pair(line) or ("", "")
    if value.lower() in ("true", "false"):
        return f"{value} has a capital letter.", f"Write {key} = {value.lower()}."
    if value.lower() in ("yes", "no", "ja", "nein", "on", "off"):
        return f"{value} stands without quotes.", f"Write {key} = true or {key} = false."
    if value == "" and key:
        return f"{key} has no value.", "Give one, or take the line out."
    if match := WITH_UNIT.match(value):
        number, unit = match["number"].replace(",", "."), match["unit"].strip()
        return f"{unit} stands behind the number.", f"Write the number alone: {key} = {number}."
    if BARE_WORD.match(value):
        return f"{value} stands without quotes.", f'Write {key} = "{value}".'
    return None


def _bare_line(line: str, error: str) -> Words:
    text = line.strip()
    if text.startswith("[") and not text.endswith("]"):
        return f"{text!r} is a heading that is not closed.", f"Write {text.rstrip('[')}{']' * text.count('[')}."
    if "=" in text or text.startswith("[") or not text:
        return None
    return f"{text[:SHOWN]!r} is no line of a field.", "Write it as name = value, or begin it with # if it is a remark."


READINGS: tuple[Callable[[str, str], Words], ...] = (
    _twice,
    _curly,
    _open_quote,
    _colon,
    _key,
    _number,
    _date,
    _word,
    _bare_line,
)
