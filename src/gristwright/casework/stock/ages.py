"""Age of the youngest in a cask by the calendar, and where it counts. See docs/stock.md."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import lru_cache

from gristwright.records.law import CaskStay
from gristwright.records.stock import LegalAge, StockCask
from gristwright.reference.load import csv_rows
from gristwright.rules.law import calendar
from gristwright.rules.law.book import Book, Rule, standard_book
from gristwright.rules.law.wood import stay_fits

Spans = list[tuple[dt.date, dt.date]]
WHOLE_AGE = "EU_WHISKY"


def closed(component: Iterable[CaskStay], on: dt.date) -> list[CaskStay]:
    """The stays of a component up to a day; the last one is still open."""
    stays = [replace(stay, date_out=min(stay.date_out or on, on)) for stay in component]
    return [stay for stay in stays if stay.date_in is not None and stay.date_in <= on]


def rule_of_age(category: str, book: Book | None = None) -> Rule | None:
    """The rule of age of a category; None where it has none."""
    rules = (book or standard_book()).categories[category].rules
    return next((rule for rule in rules if rule.kind == "age"), None)


def floor_abv_pct(category: str = WHOLE_AGE, book: Book | None = None) -> float:
    """The strength [%vol] a bottle of the category may not be under, by its rule."""
    rules = (book or standard_book()).categories[category].rules
    return float(
        next(rule.data["limit_abv_pct"] for rule in rules if rule.kind == "strength" and rule.data["of"] == "bottle")
    )


def counted(component: Iterable[CaskStay], rule: Rule, on: dt.date, possibly: bool = False) -> Spans:
    """Spans of a component that (surely or possibly) count by a rule of age."""
    stays = closed(component, on)
    fits = [stay_fits(stay, rule.data["casks"], standard_book().words)[int(possibly)] for stay in stays]
    return [(s.date_in, s.date_out) for s, fit in zip(stays, fits, strict=True) if fit and s.date_in and s.date_out]


def calendar_age(spans: Spans) -> tuple[int, int, int]:
    """Completed years, months and days in the spans; days between them do not count. (0, 0, 0) without a span."""
    whole = calendar.joined(spans)
    if not whole:
        return 0, 0, 0
    last = whole[-1][1]
    months = 12 * (last.year - whole[0][0].year) + last.month - whole[0][0].month + 1
    while months and not calendar.is_aged(whole, months):
        months -= 1
    due = calendar.reached_on(whole, months)
    assert due is not None
    return months // 12, months % 12, (last - due).days


def legal_age(cask: StockCask, category: str, title: str, on: dt.date) -> LegalAge | None:
    """Age of the youngest component by the rule of a category; None for a category without one."""
    rule = rule_of_age(category)
    if rule is None:
        return None
    sure = min(calendar_age(counted(component, rule, on)) for component in cask.components)
    maybe = min(calendar_age(counted(component, rule, on, possibly=True)) for component in cask.components)
    return LegalAge(category, title, *sure, sure == maybe, _sentence(sure, maybe, int(rule.data["months"])))


def _sentence(sure: tuple[int, int, int], maybe: tuple[int, int, int], months: int) -> str:
    reached, may_be = (12 * age[0] + age[1] >= months for age in (sure, maybe))
    least = f"{months // 12} years" if months % 12 == 0 else f"{months} months"
    text = f"the {least} asked are {'complete' if reached else 'not complete'}"
    if may_be and not reached:
        text = f"whether the {least} asked are complete is unknown"
    if sure != maybe:
        return f"{text}; up to {in_words(maybe)} if what is not known of the wood is in its favour"
    return text


def in_words(age: tuple[int, int, int]) -> str:
    """An age as a person reads it."""
    names = ("year", "month", "day")
    return ", ".join(f"{n} {name}{'' if n == 1 else 's'}" for n, name in zip(age, names, strict=True))


def legal_ages(cask: StockCask, on: dt.date) -> tuple[LegalAge, ...]:
    """Age of the youngest by every category a statement is read by."""
    rows = csv_rows("tables/cask_ages.csv")
    ages = (legal_age(cask, row["category"], row["title"], on) for row in rows)
    return tuple(age for age in ages if age is not None)


def completed_years(cask: StockCask, on: dt.date, category: str = WHOLE_AGE) -> int:
    """Completed years of the youngest component on a day, by the rule of age of a category."""
    rule = rule_of_age(category)
    assert rule is not None
    return min(_years(counted(component, rule, on)) for component in cask.components)


def completed_years_at(cask: StockCask, marks: Sequence[dt.date], category: str = WHOLE_AGE) -> list[int]:
    """As `completed_years` on several days: whether a stay counts does not hang on the day."""
    rule = rule_of_age(category)
    assert rule is not None
    casks, words = rule.data["casks"], standard_book().words
    counting = [[stay for stay in component if stay_fits(stay, casks, words)[0]] for component in cask.components]
    return [min(_years_of(tuple(_spans(stays, mark))) for stays in counting) for mark in marks]


def _spans(stays: Sequence[CaskStay], on: dt.date) -> Spans:
    begun = [stay for stay in stays if stay.date_in is not None and stay.date_in <= on]
    return [(stay.date_in, min(stay.date_out or on, on)) for stay in begun if stay.date_in]


@lru_cache(maxsize=50_000)
def _years_of(spans: tuple[tuple[dt.date, dt.date], ...]) -> int:
    """Many casks of a stock were filled on one day."""
    return _years(list(spans))


def _years(spans: Spans) -> int:
    whole = calendar.joined(spans)
    years = whole[-1][1].year - whole[0][0].year if whole else 0
    while years > 0 and not calendar.is_aged(whole, 12 * years):
        years -= 1
    return max(years, 0)
