"""Judge a whisky by a category: every rule answers, and the gravest answer is the category's."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from gristwright.basics import refuse_if_any
from gristwright.records.law import CategoryAnswer, RuleAnswer, WhiskyFacts
from gristwright.rules.law.book import Book, Category, Rule, standard_book
from gristwright.rules.law.calendar import add_months
from gristwright.rules.law.finding import Finding, gravest
from gristwright.rules.law.kinds import Case, finding_of
from gristwright.rules.law.limits import facts_problems, key_problems
from gristwright.rules.law.settling import settled_by
from gristwright.rules.law.shares import part_fits

NOT_JUDGED = "not_judged"
MONTHS_A_READING_LASTS = 12
NOT_OF_BEER = "Beer is not judged: the rules here are those of whisky. Ask your local beer law."


def categories(book: Book | None = None) -> tuple[tuple[str, str, str], ...]:
    """All categories as (key, title, market)."""
    return tuple((c.key, c.title, c.market) for c in (book or standard_book()).categories.values())


def flag_applies(when: Mapping[str, Any] | None, case: Case) -> bool:
    """Whether the facts are such that a rule's flag should be shown; a flag without conditions always is."""
    if when is None:
        return True
    facts, words = case.facts, case.book.words
    if "part" in when:
        present = [part for part in facts.grist if part.parts_asis > 0]
        return any(part_fits(part, when["part"], words)[1] for part in present)
    if "several_casks" in when:
        return len(facts.stays or ()) > 1
    if "additions" in when:
        return any(words.plain("additions", value) in when["additions"] for value in facts.additions or ())
    return any(words.plain(field, getattr(facts, field)) in values for field, values in when.items())


def answer(rule: Rule, finding: Finding, case: Case) -> RuleAnswer:
    """A finding as it is handed out."""
    return RuleAnswer(
        rule_id=rule.id,
        verdict=finding.verdict,
        reason=finding.reason + ".",
        source=rule.source,
        flag=rule.flag if flag_applies(rule.flag_when, case) else "",
        sentence=rule.sentence,
        standing=rule.standing,
        settled_by=settled_by(finding.asks),
        share=finding.share,
        basis_risk=finding.basis_risk,
    )


def dated(rules: tuple[Rule, ...], case: Case) -> list[str]:
    """Sentences on rules that begin or end between the day judged and the day of bottling."""
    days = [(rule, rule.changes_between(case.on, case.bottled)) for rule in rules]
    return [
        f"{rule.id} {'begins' if rule.begins == day else 'ends'} on {day}, before the bottling on {case.bottled}: "
        f"judged here by the rules of {case.on}. {rule.sentence}"
        for rule, day in days
        if day is not None
    ]


def date_warnings(category: Category, on: dt.date) -> list[str]:
    """Sentences when the rule text was read too long ago, or is newer than the day judged."""
    sentences = []
    if on > add_months(category.read_on, MONTHS_A_READING_LASTS):
        sentences.append(
            f"The rules of {category.key} were read on {category.read_on}, more than {MONTHS_A_READING_LASTS} months "
            f"before {on}. Read the present text before you rely on this."
        )
    if on < category.version_date:
        sentences.append(f"The text of {category.key} is of {category.version_date}, later than the day judged, {on}.")
    return sentences


def judged(category: Category, case: Case, faults: tuple[str, ...]) -> CategoryAnswer:
    """A category on facts that were looked through already."""
    rules = [rule for rule in category.rules if rule.in_force(case.on)]
    findings = [(rule, finding_of(rule, case)) for rule in rules if rule.kind != NOT_JUDGED]
    unasked = [f"{rule.id}, not judged here: {rule.sentence}" for rule in rules if rule.kind == NOT_JUDGED]
    moved = [sentence for _, finding in findings for sentence in finding.warnings]
    return CategoryAnswer(
        category=category.key,
        title=category.title,
        market=category.market,
        verdict=gravest([finding.verdict for _, finding in findings]),
        answers=tuple(answer(rule, finding, case) for rule, finding in findings),
        version_date=category.version_date,
        read_on=category.read_on,
        warnings=(*date_warnings(category, case.on), *faults, *moved, *dated(category.rules, case), *unasked),
        source=category.source,
        confidence=category.confidence,
    )


def judge(category_key: str, facts: WhiskyFacts, on: dt.date, book: Book | None = None) -> CategoryAnswer:
    """A whisky judged by one category as on a day; raises Refused for impossible facts or a key not in the book."""
    book = book or standard_book()
    problems = key_problems([category_key], book.categories) + facts_problems(facts, book.words)
    faults = tuple(problem.sentence() for problem in refuse_if_any(problems))
    return judged(book.categories[category_key], Case(facts, on, book), faults)


def judge_all(facts: WhiskyFacts, on: dt.date, book: Book | None = None) -> tuple[CategoryAnswer, ...]:
    """A whisky judged by every category of the book as on a day; raises Refused for impossible facts."""
    book = book or standard_book()
    faults = tuple(problem.sentence() for problem in refuse_if_any(facts_problems(facts, book.words)))
    return tuple(judged(category, Case(facts, on, book), faults) for category in book.categories.values())
