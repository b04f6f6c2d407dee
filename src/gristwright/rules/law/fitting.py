"""Of many categories judged the few that matter: what was asked, the best that fit beside it, and what fails."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from gristwright.basics import Verdict
from gristwright.records.law import CategoryAnswer
from gristwright.rules.law.book import Book, standard_book

BEST_FIRST = (Verdict.PASS, Verdict.DEPENDS, Verdict.UNKNOWN, Verdict.FAIL)


@dataclass(frozen=True)
class Fitting:
    """Answers sorted by what they are worth to who reads them; all of them are in one of the four."""

    asked: tuple[CategoryAnswer, ...]
    # Judged unasked, the best verdict first; of a market in which no name stands, the one that fails the fewest rules.
    best: tuple[CategoryAnswer, ...]
    covered: tuple[CategoryAnswer, ...]  # no fail either, and a name above says more with the same right
    fails: tuple[CategoryAnswer, ...]

    @property
    def fails_in_short(self) -> str:
        """The titles of what fails, without names that take over the rules of another one that does; or nothing."""
        first = first_of(self.fails)
        titles = "; ".join(answer.title for answer in first)
        more = ", and names built on them" if len(first) < len(self.fails) else ""
        return f"Also judged, fails: {titles}{more}." if titles else ""


def fitting(asked: Sequence[CategoryAnswer], beside: Iterable[CategoryAnswer], book: Book | None = None) -> Fitting:
    """The answers asked for, and those judged beside them, those that take over another one's rules before it."""
    book = book or standard_book()
    others = [answer for answer in beside if answer.category not in {one.category for one in asked}]
    live = [answer for answer in others if answer.verdict is not Verdict.FAIL]
    covered = tuple(one for one in live if any(covers(above, one, book) for above in (*asked, *live)))
    fails = [answer for answer in others if answer.verdict is Verdict.FAIL]
    answered = {answer.market for answer in (*asked, *live)}
    nearest = _nearest(one for one in fails if one.market not in answered)
    best = [*sorted((one for one in live if one not in covered), key=_worth), *nearest]
    return Fitting(tuple(asked), tuple(best), covered, tuple(one for one in fails if one not in nearest))


def _nearest(fails: Iterable[CategoryAnswer]) -> list[CategoryAnswer]:
    """Of every market the name that fails the fewest rules, the first of the book among equals."""
    nearest: dict[str, CategoryAnswer] = {}
    for one in fails:
        now = nearest.setdefault(one.market, one)
        nearest[one.market] = one if len(one.deciding) < len(now.deciding) else now
    return list(nearest.values())


def first_of(fails: Sequence[CategoryAnswer], book: Book | None = None) -> tuple[CategoryAnswer, ...]:
    """Of names that fail those that take over the rules of no other one of them."""
    keys = {answer.category for answer in fails}
    return tuple(one for one in fails if not keys & _taken_over(one.category, book or standard_book()))


def _worth(answer: CategoryAnswer) -> int:
    return BEST_FIRST.index(answer.verdict)


def covers(above: CategoryAnswer, answer: CategoryAnswer, book: Book | None = None) -> bool:
    """Whether one answer takes over the other's rules and stands no worse, so that it says all of it."""
    taken = _taken_over(above.category, book or standard_book())
    return _worth(above) <= _worth(answer) and answer.category in taken


def _taken_over(key: str, book: Book) -> set[str]:
    found = book.categories[key].includes if key in book.categories else ()
    return {*found, *(name for one in found for name in _taken_over(one, book))}
