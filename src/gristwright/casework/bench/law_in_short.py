"""The law of a bill in short: names asked for, the best that fit beside them, what they hang on. See docs/law.md."""

from __future__ import annotations

from collections.abc import Sequence

from gristwright.basics import Verdict
from gristwright.records.law import CategoryAnswer, LawHeadline, LawHeadlines, RuleAnswer
from gristwright.rules import law

AS_WEIGHED = {
    Verdict.PASS: "stands as weighed and may fail dry",
    Verdict.FAIL: "fails as weighed and may stand dry",
    Verdict.UNKNOWN: "is not settled and may depend on basis",
    Verdict.DEPENDS: "depends on basis",
}


def headlines(asked: Sequence[CategoryAnswer], beside: Sequence[CategoryAnswer] = ()) -> LawHeadlines:
    """The answers of a bill in short: `law` and `law_beside` of its result, or those of `law_of_bill`."""
    sorted_ = law.fitting(asked, beside)
    shown = [*((answer, True) for answer in sorted_.asked), *((answer, False) for answer in sorted_.best)]
    return LawHeadlines(
        tuple(_headline(answer, by_name, sorted_) for answer, by_name in shown),
        tuple(_headline(answer, False, sorted_) for answer in sorted_.fails),
    )


def _headline(answer: CategoryAnswer, by_name: bool, of: law.Fitting) -> LawHeadline:
    return LawHeadline(
        category=answer.category,
        title=answer.title,
        market=answer.market,
        verdict=answer.verdict,
        asked=by_name,
        rule=next(iter(answer.deciding), None),
        open_rules=len(answer.deciding),
        basis=_basis(answer),
        covers=tuple(one.title for one in of.covered if law.covers(answer, one)),
    )


def _basis(answer: CategoryAnswer) -> RuleAnswer | None:
    """The rule on which the basis of shares bears, where nothing else fails the category."""
    at_risk = [rule for rule in answer.answers if rule.basis_risk]
    failing = [rule for rule in answer.answers if rule.verdict is Verdict.FAIL and not rule.basis_risk]
    return at_risk[0] if at_risk and not failing else None


def basis_words(asked: Sequence[CategoryAnswer], beside: Sequence[CategoryAnswer] = ()) -> tuple[str, ...]:
    """A sentence for each name that hangs on whether shares are meant as weighed or dry; for the head of an answer."""
    found: dict[str, list[str]] = {}
    short = headlines(asked, beside)
    for one in (*short.entries, *short.fails):
        if one.basis is not None:
            found.setdefault(f"{AS_WEIGHED[one.basis.verdict]}: {one.basis.reason}", []).append(one.title)
    return tuple(f"{'; '.join(titles)} {words}" for words, titles in found.items())
