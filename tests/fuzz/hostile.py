"""What a file, a field or an option can be given instead of what belongs there, and how a file is spoilt with it.

An edit is plain data: what is done, two numbers that say where, and a value. The same edits of the same bytes give
the same bytes, so a finding is kept as its edits.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import TypeAlias

# What is done, where, where else, and the value as a piece and how often it is written.
Edit: TypeAlias = tuple[str, int, int, tuple[str, int]]

# Harmless ones first: of all values that make the same fault, the first is the one that is told.
NUMBERS = (
    "0", "1", "-1", "0.5", "7", "20", "60", "100", "1000", "-0.0", "1,5", "1.000,5", "1 000", "1_000", "+3", ".5", "5.",
    "1e-320", "1e15", "1e308", "-1e308", "1e400", "nan", "inf", "-inf", "Infinity", "0x1F", "99999999999999999999",
    "²", "½", "٣", "１２", "−5", "5 %", "<5", "> 80", "~3", "3-4", "3..4", "1/2", "1e", "--1", "273.15", "2147483648",
)  # fmt: skip
DATES = (
    "2026-11-25", "2026-02-30", "0001-01-01", "9999-12-31", "1582-10-10", "2024-02-29", "25.11.2026", "2026-13-01",
    "2026-11-25T12:00:00Z", "12:00", "1900-01-00", "45000",
)  # fmt: skip
WORDS = (
    "", " ", "-", "n/a", "#REF!", "true", "none", "oak", "EUR", "XXX", "pale_distilling_malt", "../plant.toml",
    "/dev/null", ".", "con", "bill.toml", "a\\b", "%s", "{0}", "{{ x }}", "${HOME}", "<script>alert(1)</script>",
    "'; DROP TABLE lots; --", "=1+1", "+1", "@SUM(A1)", "-2+3", "#", "[x]", "]]", '"""', "\\u0000", "a,b", "a;b",
    "a\tb", "Gerste", "é", "e\u0301", "ﬁ", "İ", "ß", "Ω", "Жито", "漢字", "한글", "ไทย", "عربى", "🥃", "\u00a0",
    "\u200b", "\u202eabc", "\ufeff", "\ufffe", "\ue000", "\x00", "\x07", "\x1b[31m", "\x85", "\u2028", "\r", "\n",
    "\r\n",
)  # fmt: skip
LONG = (
    ("9", 400),
    ("9", 5000),
    ("a", 300),
    ("a", 5000),
    ("é", 200),
    ("a", 140_000),
    ("[", 3000),
    ("{", 3000),
    ("0.", 500),
)
VALUES: tuple[tuple[str, int], ...] = (*((word, 1) for word in (*NUMBERS, *DATES, *WORDS)), *LONG)

TOKEN = re.compile(r"[^\s,;=\[\]{}\"'<>]+")
ENCODINGS = ("utf-8-sig", "utf-16", "utf-16-le", "utf-32", "latin-1", "cp1252", "cp437")
# Written over and over, a line of the input makes no more than so many bytes.
MOST_GROWN = 400_000


def written(value: tuple[str, int]) -> str:
    """A value in full."""
    piece, times = value
    return piece * times


def spoilt(content: bytes, edits: Sequence[Edit], other: bytes = b"") -> bytes:
    """A file after the edits, one after another; `other` is the file that is spliced into it."""
    for what, here, there, value in edits:
        content = EDITS[what](content, here, there, written(value), other)
    return content


def _of_text(change: Callable[[str, int, int, str, str], str]) -> Callable[[bytes, int, int, str, bytes], bytes]:
    """A change of text as one of bytes; what is no text stays byte for byte."""

    def changed(content: bytes, here: int, there: int, value: str, other: bytes) -> bytes:
        text, also = (part.decode("utf-8", "surrogateescape") for part in (content, other))
        return change(text, here, there, value, also).encode("utf-8", "surrogateescape")

    return changed


def _token(text: str, here: int, there: int, value: str, _: str) -> str:
    """A word or number in place of another."""
    found = list(TOKEN.finditer(text))
    if not found:
        return value
    one = found[here % len(found)]
    return text[: one.start()] + value + text[one.end() :]


def _quoted(text: str, here: int, there: int, value: str, other: str) -> str:
    """A value of TOML by a text in quotes."""
    said = value.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n").replace("\r", "\\r")
    return _value(text, here, there, f'"{said}"', other)


def _value(text: str, here: int, there: int, value: str, _: str) -> str:
    """Whatever stands behind an equals sign."""
    found = list(re.finditer(r"(?m)= *(\S.*)$", text))
    if not found:
        return text
    one = found[here % len(found)]
    return text[: one.start(1)] + value + text[one.end() :]


def _lines(
    change: Callable[[list[str], int, int, str, list[str]], list[str]],
) -> Callable[[bytes, int, int, str, bytes], bytes]:
    def changed(text: str, here: int, there: int, value: str, other: str) -> str:
        lines = text.split("\n")
        return "\n".join(change(lines, here % len(lines), there % len(lines), value, other.split("\n")))

    return _of_text(changed)


def _without(lines: list[str], here: int, there: int, value: str, other: list[str]) -> list[str]:
    return lines[:here] + lines[here + 1 :]


def _doubled(lines: list[str], here: int, there: int, value: str, other: list[str]) -> list[str]:
    return [*lines[: there + 1], lines[here], *lines[there + 1 :]]


def _swapped(lines: list[str], here: int, there: int, value: str, other: list[str]) -> list[str]:
    lines = list(lines)
    lines[here], lines[there] = lines[there], lines[here]
    return lines


def _many(lines: list[str], here: int, there: int, value: str, other: list[str]) -> list[str]:
    times = min(1 + there * 40, MOST_GROWN // (len(lines[here]) + 1))
    return [*lines[:here], *[lines[here]] * times, *lines[here:]]


def _spliced(lines: list[str], here: int, there: int, value: str, other: list[str]) -> list[str]:
    return [*lines[:here], *other[there % len(other) :]]


def _typed_in(lines: list[str], here: int, there: int, value: str, other: list[str]) -> list[str]:
    return [*lines[:here], value, *lines[here:]]


def _columns(change: Callable[[list[str], int, int, str], list[str]]) -> Callable[[bytes, int, int, str, bytes], bytes]:
    """A change of every row of a table alike."""

    def changed(text: str, here: int, there: int, value: str, _: str) -> str:
        rows = [line.split(",") for line in text.split("\n")]
        wide = max(map(len, rows))
        return "\n".join(",".join(change(row, here % wide, there % wide, value)) for row in rows)

    return _of_text(changed)


def _column_out(row: list[str], here: int, there: int, value: str) -> list[str]:
    return row[:here] + row[here + 1 :]


def _column_doubled(row: list[str], here: int, there: int, value: str) -> list[str]:
    return [*row, *row[here : here + 1]]


def _columns_swapped(row: list[str], here: int, there: int, value: str) -> list[str]:
    row = [*row, *[""] * (max(here, there) + 1 - len(row))] if len(row) > 1 else row
    if max(here, there) < len(row):
        row[here], row[there] = row[there], row[here]
    return row


def _column_filled(row: list[str], here: int, there: int, value: str) -> list[str]:
    return [*row[:here], value, *row[here + 1 :]] if len(row) > 1 and len(value) < 1000 else row


def _byte(content: bytes, here: int, there: int, value: str, other: bytes) -> bytes:
    at = (here * 7 + there) % max(1, len(content))
    return content[:at] + bytes([there % 256]) + content[at + 1 :]


def _cut(content: bytes, here: int, there: int, value: str, other: bytes) -> bytes:
    return content[: (here * 7 + there) % max(1, len(content))]


def _joined(content: bytes, here: int, there: int, value: str, other: bytes) -> bytes:
    return content[: (here * 7) % max(1, len(content))] + other[(there * 7) % max(1, len(other)) :]


def _encoded(content: bytes, here: int, there: int, value: str, other: bytes) -> bytes:
    return content.decode("utf-8", "replace").encode(ENCODINGS[here % len(ENCODINGS)], "replace")


def _line_ends(content: bytes, here: int, there: int, value: str, other: bytes) -> bytes:
    return content.replace(b"\n", (b"\r", b"\r\n", b"\n\r", b"\x85", b"\0", b"")[here % 6])


EDITS: dict[str, Callable[[bytes, int, int, str, bytes], bytes]] = {
    "word": _of_text(_token),
    "value": _of_text(_value),
    "text": _of_text(_quoted),
    "line out": _lines(_without),
    "line doubled": _lines(_doubled),
    "lines swapped": _lines(_swapped),
    "line many times": _lines(_many),
    "line typed in": _lines(_typed_in),
    "spliced": _lines(_spliced),
    "column out": _columns(_column_out),
    "column doubled": _columns(_column_doubled),
    "columns swapped": _columns(_columns_swapped),
    "column filled": _columns(_column_filled),
    "byte": _byte,
    "cut": _cut,
    "joined": _joined,
    "encoded": _encoded,
    "line ends": _line_ends,
}
# Half of all edits change a value and leave the file whole: what is refused at once tries nothing behind it.
USUAL = ("word", "value", "text", "column filled")
OF_BYTES = ("byte", "cut", "joined")
