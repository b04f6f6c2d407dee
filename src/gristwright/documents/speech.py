"""Sentences in a language: catalogues of documents/languages, numbers and units by locale. See docs/languages.md."""

from __future__ import annotations

import datetime as dt
import gettext
import io
import re
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from string import Formatter
from typing import Any, Final

from babel import Locale
from babel.dates import format_date
from babel.lists import format_list
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from babel.numbers import get_decimal_symbol

from gristwright.basics import Band, Problem, Refused
from gristwright.quantities.shown import NOTHING, capital, interval, plain, signed, with_interval
from gristwright.records.said import Amount, Name, Said, Term

CATALOGUES: Final = Path(__file__).with_name("languages")
LOCALES: Final[Mapping[str, str]] = {"en": "en_GB", "de": "de_DE"}
# Contexts of a catalogue beside its sentences.
UNIT: Final = "unit"
NO_BREAK = "\u00a0"
# Units of money are kept once for all currencies, such as "XXX/hL".
CURRENCY = re.compile("^[A-Z]{3}$")
MONEY, ANY_MONEY = re.compile(r"^([A-Z]{3})(?=[ /])"), "XXX"


def language_of(name: str) -> str:
    """The key of a language we print in. Raises Refused for another one."""
    if name not in LOCALES:
        what = f"{name!r} is no language we print in."
        raise Refused([Problem("language", what, f"Use one of: {', '.join(LOCALES)}.")])
    return name


@cache
def speech(language: str = "en") -> Speech:
    """The speech of a language, its catalogue read once. Raises Refused for a language we do not print in."""
    return Speech(language_of(language))


class Speech:
    """One language: sentences by their keys, names, units, numbers and dates."""

    def __init__(self, language: str) -> None:
        with (CATALOGUES / f"{language}.po").open("rb") as file:
            catalogue = read_po(file, locale=language)
        made = io.BytesIO()
        write_mo(made, catalogue)
        made.seek(0)
        self.language = language
        # Units and words that were asked for and that the catalogue does not hold: they are shown as they are.
        self.unknown: set[tuple[str, str]] = set()
        self.locale = Locale.parse(LOCALES[language])
        self._words = gettext.GNUTranslations(made)
        self._point = get_decimal_symbol(self.locale)
        self._fill = _Filled(self)

    def say(self, said: Said) -> str:
        """The sentence. Raises KeyError for a key that the catalogue does not hold."""
        terms = dict(said.terms)
        count = terms.get("n")
        pattern = (
            self._words.ngettext(said.key, f"{said.key}/plural", count)
            if isinstance(count, int)
            else self._words.gettext(said.key)
        )
        if pattern in (said.key, f"{said.key}/plural"):
            pattern = self._known(said.key)
        return self._fill.vformat(pattern, (), terms)

    def _known(self, key: str) -> str:
        """A sentence without a plural, said with a count in it."""
        pattern = self._words.gettext(key)
        if pattern == key:
            raise KeyError(f"{self.language}.po says nothing for {key!r}")
        return pattern

    def name(self, name: Name) -> str:
        """A word of the trade; as it is where the catalogue has none for it."""
        if name.kind == UNIT:
            return self.unit(name.key)
        return self._in(name.kind, name.key)

    def unit(self, unit: str) -> str:
        """A unit as this language writes it, money by its three letters; as it is where the catalogue has none."""
        money = MONEY.match(unit)
        if money:
            return self._in(UNIT, unit.replace(money[1], ANY_MONEY, 1)).replace(ANY_MONEY, money[1])
        if not unit or (CURRENCY.match(unit) and not self._knows(UNIT, unit)):
            return unit
        return self._in(UNIT, unit)

    def _in(self, context: str, key: str) -> str:
        if not self._knows(context, key):
            self.unknown.add((context, key))
        return self._words.pgettext(context, key)

    def _knows(self, context: str, key: str) -> bool:
        """Whether the catalogue has the word, be it the same in this language."""
        return self._words.pgettext(context, key) != key or (context, key) in self._same

    @property
    def _same(self) -> set[tuple[str, str]]:
        """Words that are the same in this language as their key."""
        return _same_words(self.language)

    def number(self, amount: Amount) -> str:
        """The number alone."""
        write = signed if amount.change else plain
        return self._local(write(amount.value, amount.decimals))

    def amount(self, amount: Amount) -> str:
        """The number with its unit."""
        return self._with_unit(self.number(amount), amount.unit)

    def band(self, amount: Amount) -> str:
        """Middle, ends and unit, such as `352 (340 to 363) L`; the middle alone where there are no ends."""
        if amount.low is None or amount.high is None:
            return self.amount(amount)
        text = with_interval(Band(amount.low, amount.value, amount.high), amount.decimals, amount.change)
        return self._with_unit(self._local(self._to(text)), amount.unit)

    def bare(self, amount: Amount) -> str:
        """Middle and ends without the unit."""
        return self.band(replace(amount, unit=""))

    def ends(self, amount: Amount) -> str:
        """The ends alone."""
        if amount.low is None or amount.high is None:
            return NOTHING
        text = interval(Band(amount.low, amount.value, amount.high), amount.decimals, amount.change)
        return self._local(self._to(text))

    def date(self, day: dt.date) -> str:
        """A date as a person reads it."""
        return format_date(day, "long", self.locale)

    def together(self, texts: list[str]) -> str:
        """Texts in a row, the last joined by the word for and."""
        return format_list(texts, "standard", self.locale)

    def _to(self, text: str) -> str:
        return text.replace(" to ", f" {self._words.gettext('to')} ")

    def _local(self, text: str) -> str:
        return text.replace(".", self._point)

    def _with_unit(self, text: str, unit: str) -> str:
        return f"{text}{NO_BREAK}{self.unit(unit)}" if unit else text

    def term(self, value: Term, how: str = "") -> str:
        """What stands in a sentence, as it is said: `n` alone, `band`, `bare`, `ends`, `cap`, `;` for a list."""
        text = self._term(value, how)
        return capital(text) if how == "cap" else text

    def _term(self, value: Any, how: str) -> str:
        match value:
            case Said():
                return self.say(value)
            case Amount():
                ways = {"n": self.number, "band": self.band, "bare": self.bare, "ends": self.ends}
                return ways.get(how, self.amount)(value)
            case Name():
                return self.name(value)
            case dt.date():
                return self.date(value)
            case tuple():
                texts = [self._term(one, "" if how in ("cap", ";") else how) for one in value]
                return "; ".join(texts) if how == ";" else self.together(texts)
            case int():
                return self._local(plain(value, 0))
        return str(value)


class _Filled(Formatter):
    """A pattern with its terms put in as a language says them."""

    def __init__(self, of: Speech) -> None:
        self._of = of

    def format_field(self, value: Any, format_spec: str) -> str:
        return self._of.term(value, format_spec)

    def convert_field(self, value: Any, conversion: Any) -> Any:
        return value


@cache
def _same_words(language: str) -> set[tuple[str, str]]:
    with (CATALOGUES / f"{language}.po").open("rb") as file:
        return {(str(m.context), str(m.id)) for m in read_po(file) if m.context and m.string == m.id}
