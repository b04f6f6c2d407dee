"""Files that nobody means: an example with one of its values exchanged for each that cannot be meant.

`odd_tomls` and `odd_tables` give every one of them, seeded by nothing, so that a part can be drawn from them; `read`
gives one to its reader. `python tests/files/odd_values.py` reads all of them and says what broke.
"""

from __future__ import annotations

import datetime as dt
import itertools
import json
import shutil
import sys
import tempfile
import time
import tomllib
import traceback
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from gristwright.basics import Refused
from gristwright.files import casks_in, ladder_in
from gristwright.files.certificates import read_certificates, read_mapping
from gristwright.files.climate_in import read_climates
from gristwright.files.jobs_in import read_bill, read_enquiry
from gristwright.files.rates_in import read_rates
from gristwright.files.reading import Reading

EXAMPLES = Path(__file__).parents[2] / "examples"
# What may stand in place of a value, as it is written.
ODD = {
    "a whole number": "7",
    "a number": "0.5",
    "endless": "inf",
    "endless below": "-inf",
    "no number": "nan",
    "far too large": "1e308",
    "far too small": "1e-320",
    "below nothing": "-3",
    "nothing below": "-0.0",
    "a text": '"abc"',
    "an empty text": '""',
    "a number in quotes": '"1e308"',
    "a small two": '"²"',
    "a digit of another script": '"٣"',
    "yes": "true",
    "a day": "2026-01-01",
    "the last day": "9999-12-31",
    "the first day": "0001-01-01",
    "a moment": "2026-01-01T10:00:00Z",
    "an hour": "10:00:00",
    "a list": "[1, 2]",
    "an empty list": "[]",
    "lists in a list": "[[1], [2]]",
    "a list of texts": '["a", ""]',
    "a list of endless": "[inf, nan, 1e308]",
    "a table": "{ a = 1 }",
    "an empty table": "{}",
    "a list of tables": "[{ a = 1 }]",
    "5,000 digits": "9" * 5_000,
    "400 digits": "1" + "0" * 200,
    "6,000 digits in hexadecimals": "0x" + "f" * 5_000,
    "a long text": json.dumps("a " * 20_000),
    "a sign of nothing": '"a\\u0000b"',
    "a picture": '"😀"',
    "letters with accents apart": json.dumps("e\u0301" * 40, ensure_ascii=False),
    "a way up": '"../../.."',
    "a device": '"/dev/zero"',
    "a deep list": "[" * 400 + "]" * 400,
}
# The same for a cell of a table of text.
CELLS = {name: json.loads(text) for name, text in ODD.items() if text.startswith('"')} | {
    name: ODD[name]
    for name in (
        "a whole number", "endless", "endless below", "no number", "far too large", "far too small", "below nothing",
        "nothing below", "a day", "the last day", "the first day", "a moment", "5,000 digits", "400 digits",
    )
} | {
    "a thousand": "1,000", "an open bracket": "[" * 500, "spaces": "1" + " " * 20_000 + "x", "a formula": "=1+1",
    "a long cell": "x" * 140_000, "lines": "a\nb\rc", "a mark of order": "\ufeff1", "quotes": '"' * 7,
    "a unit": "5 mg/L", "a range": "1-" * 2_000 + "2", "letters": "ab" * 10_000, "signs": "-+" * 5_000,
}  # fmt: skip
Read = Callable[[Path], Any]


@dataclass(frozen=True)
class OddFile:
    """A file with one thing in it that nobody means, and the folder that the others of its example stand in."""

    what: str
    folder: Path
    name: str
    content: bytes
    reads: Read


READS: dict[str, Read] = {
    "enquiry.toml": read_enquiry,
    "bill.toml": read_bill,
    "plant.toml": lambda path: read_bill(path.with_name("bill.toml")),
    "lots.toml": lambda path: read_certificates(path).reading,
    "map.toml": read_mapping,
    "lots.csv": lambda path: read_certificates(path).reading,
    "ladder.csv": ladder_in.read_casks,
    "arms.csv": lambda path: ladder_in.read_casks(path, arms=True),
    "casks.csv": casks_in.read_casks,
    "rates.csv": read_rates,
    "climate.csv": read_climates,
}
OWN = Path(__file__).parent / "odd"
TOMLS = [
    *(EXAMPLES / folder / f"{kind}.toml"
      for folder in ("all-malt-pot", "maize-rye-column", "raw-barley-beer", "lauter-rests-sparge")
      for kind in ("plant", "bill", "enquiry")),
    EXAMPLES / "all-malt-pot" / "dose.toml",
    OWN / "enquiry.toml",
    OWN / "lots.toml",
    OWN / "map.toml",
]  # fmt: skip
TABLES = [
    EXAMPLES / "all-malt-pot" / "lots.csv",
    *(OWN / name for name in ("ladder.csv", "arms.csv", "casks.csv", "rates.csv", "climate.csv")),
]


def odd_tomls() -> Iterator[OddFile]:
    """Every example file with each of its values exchanged for each odd one."""
    for path in TOMLS:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        reads = READS.get(path.name, read_enquiry)
        for place, (name, text) in itertools.product(_places(data), ODD.items()):
            what = f"{path.parent.name}/{path.name} {'.'.join(map(str, place))}: {name}"
            yield OddFile(what, path.parent, path.name, _written(data, place, text).encode(), reads)


def odd_tables() -> Iterator[OddFile]:
    """Every table with each of some cells exchanged for each odd one, and with its bytes spoilt as a whole."""
    for path in TABLES:
        rows = [line.split(",") for line in path.read_text(encoding="utf-8").splitlines()]
        head = next(k for k, row in enumerate(rows) if not row[0].startswith("#"))
        for row, column in itertools.product((head, head + 1, len(rows) - 1), range(len(rows[head]))):
            for name, text in CELLS.items():
                changed = [list(one) for one in rows]
                if column < len(changed[row]):
                    changed[row][column] = text
                what = f"{path.name} row {row + 1} column {column + 1}: {name}"
                yield OddFile(what, path.parent, path.name, _joined(changed).encode(), READS[path.name])
        for name, content in _spoilt(path.read_bytes()):
            yield OddFile(f"{path.name}: {name}", path.parent, path.name, content, READS[path.name])


def _joined(rows: list[list[str]]) -> str:
    return "\n".join(",".join(row) for row in rows) + "\n"


def _spoilt(whole: bytes) -> Iterator[tuple[str, bytes]]:
    text = whole.decode()
    yield "lines that end in CR", text.replace("\n", "\r").encode()
    yield "UTF-16 without its mark", text.encode("utf-16-le")
    yield "a quote left open", text.replace(",", ',"', 1).encode()
    yield "zeros in the middle", whole[:100] + b"\0" * 50 + whole[100:]
    yield "a mark of order in the middle", text.replace(",", ",\ufeff", 3).encode()
    yield "half of it", whole[: len(whole) // 2]
    yield "one endless line", (text.replace("\n", ",") * 20).encode()
    yield "no more than separators", b"," * 100_000
    yield "no more than line ends", b"\n" * 100_000
    yield "no more than spaces", b" " * 100_000
    yield "no text", bytes(range(256)) * 50
    yield "the same line over and over", whole + text.splitlines()[-1].encode() * 500


def _places(part: Any, above: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    pairs = part.items() if isinstance(part, dict) else enumerate(part) if isinstance(part, list) else ()
    for key, value in pairs:
        yield (*above, key)
        yield from _places(value, (*above, key))


def _written(data: Mapping[str, Any], place: tuple[str | int, ...] = (), text: str = "") -> str:
    """Data as TOML, every table within its line, with a text in place of one value."""
    lines = (f"{json.dumps(key)} = {_value(value, (key,), place, text)}" for key, value in data.items())
    return "\n".join(lines) + "\n"


def _value(value: Any, path: tuple[str | int, ...], place: tuple[str | int, ...], text: str) -> str:
    if path == place:
        return text
    match value:
        case dict():
            inner = (f"{json.dumps(key)} = {_value(one, (*path, key), place, text)}" for key, one in value.items())
            return f"{{ {', '.join(inner)} }}"
        case list():
            return f"[{', '.join(_value(one, (*path, n), place, text) for n, one in enumerate(value))}]"
        case dt.date():
            return value.isoformat()
    return json.dumps(value, ensure_ascii=False)


def read(odd: OddFile, folder: Path) -> Reading[Any]:
    """Read an odd file in a copy of its folder, which must give a reading; a refusal is one without a record."""
    if not folder.exists():
        shutil.copytree(odd.folder, folder)
    path, before = folder / odd.name, (folder / odd.name).read_bytes() if (folder / odd.name).exists() else b""
    path.write_bytes(odd.content)
    try:
        reading: Reading[Any] = odd.reads(path)
        reading.accepted()
        return reading
    except Refused as refused:
        return Reading(None, (path,), refused.problems)
    finally:
        path.write_bytes(before)


def main() -> int:
    """Read every odd file; how many broke."""
    broke, slowest, total = 0, (0.0, ""), 0
    with tempfile.TemporaryDirectory() as home:
        for odd in itertools.chain(odd_tomls(), odd_tables()):
            total += 1
            began = time.monotonic()
            try:
                read(odd, Path(home) / odd.folder.name)
            except Exception:
                broke += 1
                print(f"{odd.what}\n{traceback.format_exc(limit=-3)}", file=sys.stderr)
            slowest = max(slowest, (time.monotonic() - began, odd.what))
    print(f"{total} files, {broke} broke, slowest {slowest[0]:.2f} s: {slowest[1]}")
    return min(broke, 1)


if __name__ == "__main__":
    sys.exit(main())
