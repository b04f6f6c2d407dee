"""What the markers of an arm read on the ladder: each alone, then all together. See docs/ageing.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from gristwright.basics import FloatArray
from gristwright.casework.claim.lines import age_line
from gristwright.casework.claim.tables import MarkerKind, table_of
from gristwright.evidence.ageing.line import fit_lines, misfit, read_arm
from gristwright.evidence.ageing.monotone import read_monotone
from gristwright.records.age_evidence import AGREE_AT, AgeReading, Chemistry, MeasuredCask
from gristwright.records.ageing import AgeLine

MODELS = ("line", "monotone")
# A line is not used where the rungs leave it at this level; a marker is, where Fieller's g stays below one.
MISFIT_AT = 0.01
# Degrees of freedom that must be left for the limits of several markers.
LEAST_FREEDOM = 4
# An age needs a marker of this role: wood alone is no maturity, nor is what the reference does not know.
MATURATION = "maturation"
# Condition of the markers' correlations from which two are taken for one.
SAME_AT = 1e8
FLAT = "It does not change with age on this ladder more than casks differ."


@dataclass(frozen=True)
class _Marker:
    kind: MarkerKind
    line: AgeLine
    weakness: float


def chemistry(
    ladder: Sequence[MeasuredCask],
    arm: Sequence[MeasuredCask],
    markers: Sequence[MarkerKind],
    model: str,
    confidence: float,
) -> Chemistry:
    """Read every marker, then those that carry age together."""
    singles = [_single(ladder, arm, kind, model, confidence) for kind in markers]
    good = [single for single in singles if single.line.used]
    if len(good) < 2 or not any(single.kind.role == MATURATION for single in good):
        lines = tuple(single.line for single in singles)
        return Chemistry(lines, None, None, len(arm), len(good) == 1, _why_none(singles, good))
    chosen = _fewest(good, len(ladder) + len(arm) - 3)
    lines = tuple(
        _left_out(single.line) if single in good and single not in chosen else single.line for single in singles
    )
    return _together(ladder, arm, [single.kind for single in chosen], lines, model, confidence)


def _together(
    ladder: Sequence[MeasuredCask],
    arm: Sequence[MeasuredCask],
    kinds: list[MarkerKind],
    lines: tuple[AgeLine, ...],
    model: str,
    confidence: float,
) -> Chemistry:
    """All chosen markers as one age, from the casks that have them all."""
    old, new = _complete(ladder, kinds), _complete(arm, kinds)
    ages = np.array([cask.years for cask in old])
    if len(old) < 4 or not new or len(set(ages)) < 2 or len(old) + len(new) - 3 - len(kinds) < LEAST_FREEDOM - 1:
        reason = "too few casks have all of these markers"
        return Chemistry(lines, None, None, len(new), False, (reason,))
    values, title = table_of(old, _keys(kinds)), ", ".join(kind.title for kind in kinds)
    if _as_one(ages, values):
        return Chemistry(lines, None, None, len(new), True, (f"{title} move as one",))
    reading = _read(ages, values, table_of(new, _keys(kinds)), model, confidence)
    agreement = float(reading.agreement[0])
    fits = not agreement < AGREE_AT
    together = age_line("all", title, "all markers", reading, ages, len(new), confidence, fits)
    return Chemistry((*lines, together if fits else _rejected(together)), reading, agreement, len(new), False, ())


def _left_out(line: AgeLine) -> AgeLine:
    note = "More markers than these casks can carry: those that change most with age on the ladder are taken."
    return replace(line, used=False, note=note)


def _rejected(line: AgeLine) -> AgeLine:
    """No age stands where one age for all of them is rejected."""
    words, note = "no single age", "One age for all of them is rejected."
    return replace(line, estimate=None, form="none", low=None, high=None, words=words, note=note)


def _as_one(ages: FloatArray, values: FloatArray) -> bool:
    """Whether two markers are the same but for their scale, so that they count twice what was measured once."""
    scatter = fit_lines(ages, values[None]).scatter[0]
    size = np.sqrt(np.diag(scatter))
    return bool(np.linalg.cond(scatter / np.outer(size, size)) > SAME_AT)


def _keys(kinds: Sequence[MarkerKind]) -> list[str]:
    return [kind.key for kind in kinds]


def _read(ages: FloatArray, old: FloatArray, new: FloatArray, model: str, confidence: float) -> AgeReading:
    if model == "monotone":
        return read_monotone(ages, old, new, confidence)
    return read_arm(fit_lines(ages, old[None]), new[None], confidence)


def _complete(casks: Sequence[MeasuredCask], kinds: Sequence[MarkerKind]) -> list[MeasuredCask]:
    return [cask for cask in casks if all(kind.key in cask.values for kind in kinds)]


def _fewest(good: list[_Marker], freedom: int) -> list[_Marker]:
    """As many markers as the casks can carry, those that change most with age on the ladder first."""
    most = max(freedom - LEAST_FREEDOM + 1, 2)
    kept = sorted(good, key=lambda single: single.weakness)[:most]
    return [single for single in good if single in kept]


def _single(
    ladder: Sequence[MeasuredCask], arm: Sequence[MeasuredCask], kind: MarkerKind, model: str, confidence: float
) -> _Marker:
    old, new = _complete(ladder, [kind]), _complete(arm, [kind])
    ages = np.array([cask.years for cask in old])
    if len(old) < 4 or len(set(ages)) < 2 or not new:
        return _Marker(kind, _not_read(kind, len(new), len(old), "Measured in too few casks."), float("inf"))
    values = table_of(old, [kind.key])
    if still := _still(ages, values, table_of(new, [kind.key])):
        return _Marker(kind, _not_read(kind, len(new), len(old), still), float("inf"))
    fit = fit_lines(ages, values[None])
    straight = read_arm(fit, table_of(new, [kind.key])[None], confidence)
    weakness = float(straight.weakness[0]) if np.isfinite(straight.weakness[0]) else float("inf")
    note, bad = _note(kind, ages, values, weakness, model)
    reading = (
        straight
        if model == "line" or bad == "flat"
        else _read(ages, values, table_of(new, [kind.key]), model, confidence)
    )
    line = age_line(kind.key, kind.title, "marker", reading, ages, len(new), confidence, used=not bad, note=note)
    return _Marker(kind, line, weakness)


def _not_read(kind: MarkerKind, casks: int, ladder: int, why: str) -> AgeLine:
    return AgeLine(kind.key, kind.title, "marker", None, "none", None, None, casks, ladder, 0.0, "not read", False, why)


def _still(ages: FloatArray, values: FloatArray, arm: FloatArray) -> str:
    """Why a marker that does not move has no age, or nothing: it is flat, or its casks are all alike."""
    fit, nothing = fit_lines(ages, values[None]), 1e-12 * float(np.abs(values).max() or 1.0) ** 2 * len(values)
    if fit.slope[0, 0] ** 2 * fit.sxx <= nothing:
        return FLAT
    if fit.scatter[0, 0, 0] + float(((arm - arm.mean(axis=0)) ** 2).sum()) <= nothing:
        return "Casks of one age do not differ at all, so no interval can be had: were the values copied?"
    return ""


def _note(kind: MarkerKind, ages: FloatArray, values: FloatArray, weakness: float, model: str) -> tuple[str, str]:
    """A remark on a marker, and why it is not used, or nothing."""
    if not kind.reads_age:
        return f"Not read for age. {kind.note}", "not for age"
    if weakness >= 1.0:
        return FLAT, "flat"
    if model == "line" and (p := _misfit(ages, values)) < MISFIT_AT:
        return f"No straight line with age (p = {p:.3f}): use --model monotone.", "misfit"
    return kind.note, ""


def _misfit(ages: FloatArray, values: FloatArray) -> float:
    from scipy.special import fdtrc

    statistic, top, bottom = misfit(ages, values[None])
    return float(fdtrc(top, bottom, statistic[0, 0])) if np.isfinite(statistic[0, 0]) else 1.0


def _why_none(singles: Sequence[_Marker], good: Sequence[_Marker]) -> tuple[str, ...]:
    if not singles:
        return ("no marker was measured on both ladder and arm",)
    if len(good) == 1:
        return (f"only {good[0].kind.title} changes with age",)
    if good:
        return ("no marker of maturation changes with age, and wood alone is no maturity",)
    if all(single.kind.reads_age for single in singles):
        return ("no marker changes with age on this ladder",)
    return ("no marker that may be read for age changes with age",)
