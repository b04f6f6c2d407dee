"""What one rule finds, and the logic of three states it rests on: surely, possibly, not at all."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from gristwright.basics import Verdict
from gristwright.records.law import ShareFound

# The first verdict found in this order is that of a whole category.
GRAVEST_FIRST = (Verdict.FAIL, Verdict.UNKNOWN, Verdict.DEPENDS, Verdict.PASS)
OPERATORS = {">=": "at least", ">": "more than", "<=": "at most", "<": "less than", "==": "exactly"}


@dataclass(frozen=True)
class Finding:
    """A verdict with its reason in a sentence without a full stop, and warnings beside it.

    `asks` names what is not known, as (fact, value that would do); law_settled_by.csv has the line for each fact.
    """

    verdict: Verdict
    reason: str
    warnings: tuple[str, ...] = ()
    asks: tuple[tuple[str, str], ...] = ()
    share: ShareFound | None = None
    basis_risk: bool = False


def settled(sure: bool, maybe: bool) -> Verdict:
    """A verdict from whether a thing surely and possibly holds."""
    if sure:
        return Verdict.PASS
    return Verdict.UNKNOWN if maybe else Verdict.FAIL


def gravest(verdicts: list[Verdict]) -> Verdict:
    """Fail beats unknown, unknown beats depends on basis, and that beats pass; no verdict at all is unknown."""
    return next((verdict for verdict in GRAVEST_FIRST if verdict in verdicts), Verdict.UNKNOWN)


def turned(verdict: Verdict) -> Verdict:
    """The verdict of the opposite question."""
    return {Verdict.PASS: Verdict.FAIL, Verdict.FAIL: Verdict.PASS}.get(verdict, verdict)


def holds(op: str, least: Any, most: Any, limit: Any) -> tuple[Any, Any]:
    """Whether a number between least and most (surely, possibly) stands to a limit as asked; numbers or arrays."""
    if op == ">=":
        return (least >= limit, most >= limit)
    if op == ">":
        return (least > limit, most > limit)
    if op == "<=":
        return (most <= limit, least <= limit)
    if op == "<":
        return (most < limit, least < limit)
    return ((least == limit) & (most == limit), (least <= limit) & (limit <= most))


def exact(number: float) -> Decimal:
    """A float as the decimal a person wrote; noise beyond six decimals must not decide a case."""
    return Decimal(str(float(number))).quantize(Decimal("0.000001"))
