"""The catalogues of languages: nothing untranslated, unused, doubled or filled otherwise in one of them."""

from __future__ import annotations

import datetime as dt
import re
from collections import Counter
from pathlib import Path
from string import Formatter

import pytest
from babel.messages.pofile import read_po

from documents.families import FAMILIES
from gristwright.basics import Refused
from gristwright.documents.speech import CATALOGUES, LOCALES, speech
from gristwright.records.said import Amount, Name, kept, said, unkept
from gristwright.reference import toml_table

SOURCES = Path(CATALOGUES).parents[1]
CALL = re.compile(r'\b(?:said|Said)\(\s*"([^"]+)"')
ALONE = {"to"}  # words the speech itself asks for
Entry = tuple[str, str]


def entries(language: str) -> dict[Entry, tuple[str, ...]]:
    with (CATALOGUES / f"{language}.po").open("rb") as file:
        read = read_po(file, locale=language)
    found: dict[Entry, tuple[str, ...]] = {}
    for message in read:
        if message.id:
            key = message.id[0] if isinstance(message.id, tuple) else message.id
            texts = message.string if isinstance(message.string, tuple) else (message.string,)
            found[message.context or "", key] = tuple(str(text) for text in texts)
    return found


def names(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name}


@pytest.mark.parametrize("language", LOCALES)
def test_every_entry_is_there_once_and_said(language: str) -> None:
    text = (CATALOGUES / f"{language}.po").read_text("utf-8")
    heads = re.findall(r'^(?:msgctxt "(.*)"\n)?msgid "(.*)"', text, re.M)
    assert [head for head, count in Counter(heads).items() if count > 1] == []
    assert [key for key, texts in entries(language).items() if not all(texts)] == []
    assert "#, fuzzy" not in text


def test_the_languages_say_the_same_things() -> None:
    english, german = entries("en"), entries("de")
    assert sorted(set(english) ^ set(german)) == []
    for key, texts in english.items():
        filled = set().union(*map(names, texts))
        assert filled == set().union(*map(names, german[key])), key


def test_every_key_is_used_and_every_use_has_one() -> None:
    used = {key for path in SOURCES.rglob("*.py") for key in CALL.findall(path.read_text("utf-8"))}
    used |= {key for family in FAMILIES for key in family()}
    sentences = {key for context, key in entries("en") if not context}
    assert sorted(used - sentences) == []
    assert sorted(sentences - used - ALONE) == []


def test_what_is_kept_is_read_again_and_said_alike() -> None:
    one = said("x", litres=Amount(1234.5, "%", 1, 1200.0, 1300.0), when=dt.date(2026, 3, 1), of=("a", said("y")))
    assert unkept(kept(one)) == one


def test_numbers_and_dates_by_language() -> None:
    band = Amount(12345.67, "%", 1, 12000.0, 13000.0)
    english, german = speech("en"), speech("de")
    assert english.band(band) == "12\u202f345.7 (12\u202f000.0 to 13\u202f000.0)\u00a0%"
    assert german.band(band) == "12\u202f345,7 (12\u202f000,0 bis 13\u202f000,0)\u00a0%"
    assert german.amount(Amount(-3.25, "%", 2, change=True)) == "\u22123,25\u00a0%"
    assert (english.date(dt.date(2026, 3, 1)), german.date(dt.date(2026, 3, 1))) == ("1 March 2026", "1. März 2026")
    assert german.together(["Gerste", "Roggen", "Mais"]) == "Gerste, Roggen und Mais"


def test_an_unknown_language_is_refused() -> None:
    with pytest.raises(Refused, match="is no language we print in"):
        speech("tlh")


@pytest.mark.parametrize("language", LOCALES)
def test_every_type_of_malt_and_grain_has_its_name(language: str) -> None:
    said_types = {key for context, key in entries(language) if context == "type"}
    assert sorted(said_types ^ set(toml_table("tables/types.toml")["type"])) == []


def test_english_names_of_types_are_the_table_s() -> None:
    assert {key: speech("en").name(Name("type", key)) for key in toml_table("tables/types.toml")["type"]} == {
        key: row["title"] for key, row in toml_table("tables/types.toml")["type"].items()
    }
