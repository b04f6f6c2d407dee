"""An age with its limits in words; open, negative and endless ones too."""

from __future__ import annotations

import numpy as np

from gristwright.basics import FloatArray
from gristwright.numerics.quadratic import Form, ValueSet
from gristwright.quantities.shown import plain
from gristwright.records.age_evidence import AgeReading
from gristwright.records.ageing import AgeLine

FORMS = {Form.INTERVAL: "interval", Form.OUTSIDE: "two rays", Form.ALL: "all ages", Form.EMPTY: "none"}


def age_line(
    key: str,
    title: str,
    role: str,
    reading: AgeReading,
    ages: FloatArray,
    casks: int,
    confidence: float,
    used: bool = True,
    note: str = "",
) -> AgeLine:
    """One member's reading as a line; `ages` (casks,) are the ladder's."""
    form = Form(int(reading.ages.form[0]))
    estimate = float(reading.estimate[0])
    inside = form is Form.INTERVAL and ages.min() <= estimate <= ages.max()
    ends = [
        float(x[0]) if np.isfinite(x[0]) and form in (Form.INTERVAL, Form.OUTSIDE) else None
        for x in _ends(reading.ages)
    ]
    words = age_words(estimate, form, (ends[0], ends[1]), (float(ages.min()), float(ages.max())), confidence)
    return AgeLine(
        key,
        title,
        role,
        estimate if inside else None,
        FORMS[form],
        ends[0],
        ends[1],
        casks,
        len(ages),
        float(reading.freedom),
        words,
        used,
        note,
    )


def _ends(ages: ValueSet) -> tuple[FloatArray, FloatArray]:
    return ages.low, ages.high


def age_words(
    estimate: float,
    form: Form,
    ends: tuple[float | None, float | None],
    ladder: tuple[float, float],
    confidence: float = 0.95,
) -> str:
    """An age with its limits; nothing is read outside the ladder, so ends beyond it are only said to lie there."""
    low, high = ends
    if form is Form.EMPTY:
        return "no age of the ladder fits"
    if form is Form.ALL or low is None or high is None:
        return "no age at all is excluded, however young or old"
    if form is Form.OUTSIDE:
        return _rays(low, high, ladder)
    sure = f"{100.0 * confidence:g} % interval"
    if estimate < ladder[0]:
        upper = f"not above {_years(high)}" if high >= ladder[0] else "the whole interval below it"
        return f"no more than the youngest reference, {ladder[0]:g} years ({sure}: {upper})"
    if estimate > ladder[1]:
        lower = f"not below {_years(low)}" if low <= ladder[1] else "the whole interval above it"
        return f"beyond the oldest reference, {ladder[1]:g} years ({sure}: {lower})"
    below = f"{ladder[0]:g} or less" if low <= ladder[0] else plain(low, 1)
    above = f"{ladder[1]:g} or more" if high >= ladder[1] else plain(high, 1)
    return f"{_years(estimate)} ({sure} {below} to {above})"


def _rays(low: float, high: float, ladder: tuple[float, float]) -> str:
    """Two rays, told within the ladder: what lies outside it is not read, only that it is not excluded."""
    if high <= ladder[0] or low >= ladder[1]:
        return "no age of the ladder is excluded; the interval is open on both sides"
    if low < ladder[0] and high > ladder[1]:
        return "every age of the ladder is excluded, but ages beyond it on both sides are not"
    if low < ladder[0]:
        return f"only ages up to {_years(high)} are excluded; the interval is open on both sides"
    if high > ladder[1]:
        return f"only ages from {_years(low)} on are excluded; the interval is open on both sides"
    return f"only ages between {_years(low)} and {_years(high)} are excluded; the interval is open on both sides"


def _years(value: float) -> str:
    return f"{plain(value, 1)} years"
