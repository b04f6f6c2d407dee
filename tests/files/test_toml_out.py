"""What is written as TOML is read as it was, whatever stands in it."""

from __future__ import annotations

import datetime as dt
import random
import tomllib
from typing import Any

import pytest

from gristwright.files.toml_out import toml_text

SIGNS = [
    '"',
    "'",
    "\\",
    "\n",
    "\r",
    "\t",
    "\x00",
    "\x1f",
    "\x7f",
    "#",
    "=",
    "[",
    "]",
    ".",
    " ",
    "ä",
    "Ж",
    "\u2028",
    "𝄞",
    "a",
    "7",
]


def anything(dice: random.Random, deep: int = 0) -> Any:
    def text() -> str:
        return "".join(dice.choices(SIGNS, k=dice.randrange(6)))

    def number() -> float:
        return dice.choice([0.0, -0.0, 1e-9, 1e300, 0.1 + 0.2, dice.random(), float(dice.randrange(10**6))])

    plain = [text, number, lambda: dice.randrange(-(10**12), 10**12), lambda: dice.random() < 0.5,
             lambda: dt.date(dice.randrange(1900, 2100), 2, 28)]  # fmt: skip
    if deep < 4 and dice.random() < 0.5:
        table = lambda: {text(): anything(dice, deep + 1) for _ in range(dice.randrange(4))}  # noqa: E731
        return table() if dice.random() < 0.6 else [table() for _ in range(dice.randrange(3))]
    one = dice.choice(plain)
    return one() if dice.random() < 0.7 else [one() for _ in range(dice.randrange(4))]


@pytest.mark.parametrize("seed", range(300))
def test_what_is_written_is_read_as_it_was(seed: int) -> None:
    dice = random.Random(seed)
    data = {f"{dice.random()}": anything(dice) for _ in range(6)}
    read = tomllib.loads(toml_text(data))
    assert read == data
    assert repr(read) == repr({key: read[key] for key in read})


def test_fields_stand_before_the_tables_below_them() -> None:
    text = toml_text({"mash": {"waters": [{"name": "first"}], "kg": 2000.0}, "name": "A house"})
    assert text == 'name = "A house"\n\n[mash]\nkg = 2000.0\n\n[[mash.waters]]\nname = "first"\n'


@pytest.mark.parametrize(
    "value", [None, float("nan"), float("inf"), [{"a": 1}, 2], dt.datetime(2026, 1, 1, tzinfo=dt.UTC), object()]
)
def test_what_toml_has_no_word_for_is_refused(value: Any) -> None:
    with pytest.raises(TypeError, match="no place in a TOML file"):
        toml_text({"field": value})


def test_half_a_character_is_refused() -> None:
    with pytest.raises(UnicodeEncodeError):
        toml_text({"field": "\ud800"})
