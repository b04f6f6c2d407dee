"""What a panel's scores of an arm say on the ladder: maturity as an age, each other note as a difference.

A note of malt, by the table or by the user's file, is judged as malt's own flavour. Notes that the file says speak of
what is immature, or of age, are read for age together. See docs/ageing.md.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from gristwright.basics import Band, FloatArray
from gristwright.casework.claim.judging import Found, ScoredCasks, found
from gristwright.casework.claim.lines import age_line
from gristwright.casework.claim.scales import MALT, MATURITY, kinds, spoken_of
from gristwright.evidence.panel.contrast import Contrast
from gristwright.numerics.quadratic import Form
from gristwright.quantities.shown import plain, signed
from gristwright.records.age_evidence import AgeReading, MeasuredCask, Panel
from gristwright.records.ageing import AgeLine, MaltLine, Score

NOT_JUDGED = "no note of malt by our table, and your file does not say what it speaks of, so it is shown and not judged"
NOT_SCORED = "no panel has scored maturity on both"
NOTES = "notes"
# Notes are put on one scale before they are read together.
WHOLE = 10.0


@dataclass(frozen=True)
class _Read:
    """An age out of the panel: the line that is shown and the reading behind it."""

    line: AgeLine
    reading: AgeReading


def panel(
    ladder: Sequence[MeasuredCask],
    arm: Sequence[MeasuredCask],
    scores: Sequence[Score],
    scales: Mapping[str, tuple[float, float]],
    confidence: float,
    declared: Mapping[str, str] | None = None,
) -> Panel:
    """Read maturity as an age, notes of immaturity or age as another, all else as differences at the arm's age.

    `declared` is what the user's files say that a scale speaks of, beside the table's words of malt.
    """
    said, own = declared or {}, arm[0].years
    by_scale = {name: found(ladder, arm, scores, name) for name in scales}
    speaks = {name: spoken_of(name, said) for name in scales if name != MATURITY}
    moving = [name for name in speaks if _moves(by_scale[name].contrast, speaks[name], confidence)]
    lines = tuple(
        _note(name, speaks[name], name in moving, scales[name], by_scale[name], own, confidence)
        for name in speaks
        if by_scale[name].contrast is not None
    )
    first = by_scale.get(MATURITY)
    maturity = None if first is None else _read(first, MATURITY, "panel, maturity", "panel", confidence)
    together = _together(ladder, arm, scores, scales, {name: speaks[name] for name in moving}, confidence)
    unread = _unread(speaks, by_scale)
    if maturity is None and together is not None:
        line = replace(together.line, role="panel", used=True)
        return Panel(line, together.reading, lines, "", _score_of(moving, speaks), unread)
    reason = "" if maturity else "; ".join(_reasons(first, speaks, by_scale, moving))
    own_line, reading = (None, None) if maturity is None else (maturity.line, maturity.reading)
    if together is None:
        return Panel(own_line, reading, lines, reason, unread=unread)
    beside = together.line
    if not beside.used:
        beside = replace(beside, note=f"{beside.note}; excludes too little, so it is not counted")
    counted, scale = together.reading if beside.used else None, _score_of(moving, speaks)
    return Panel(own_line, reading, lines, reason, "maturity scale", unread, beside, counted, scale)


def _reasons(
    first: Found | None, speaks: Mapping[str, str], by_scale: Mapping[str, Found], moving: Sequence[str]
) -> list[str]:
    """Why the panel gives no age: what is wrong with maturity, and with each note that was to be read in its place."""
    reasons = [first.short if first is not None and first.short else NOT_SCORED]
    for name, kind in speaks.items():
        way = kinds()[kind].way.removesuffix("s") if kind else ""
        if way and name not in moving and by_scale[name].contrast is not None:
            reasons.append(f"{name} does not {way} with age on this ladder")
    return reasons


def _unread(speaks: Mapping[str, str], by_scale: Mapping[str, Found]) -> tuple[str, ...]:
    """Notes of immaturity or age that say nothing at all here, and why."""
    return tuple(
        f"{name}: {by_scale[name].short or 'scored on too few casks of arm or references'}"
        for name, kind in speaks.items()
        if kind and kinds()[kind].way and by_scale[name].contrast is None
    )


def _moves(contrast: Contrast | None, kind: str, confidence: float) -> bool:
    """Whether a note of immaturity falls, or one of age rises, with age on the ladder beyond its scatter."""
    way = kinds()[kind].way if kind else ""
    if contrast is None or not way:
        return False
    weakness = contrast.age(confidence)[2]
    return bool((contrast.slope[0] > 0.0) == (way == "rises") and weakness[0] < 1.0)


def _read(one: Found, key: str, title: str, role: str, confidence: float) -> _Read | None:
    """The age at which the ladder scores like the arm."""
    if one.judged is None or one.contrast is None:
        return None
    estimate, ages, weakness, freedom = one.contrast.age(confidence)
    reading = AgeReading(estimate, ages, weakness, np.array([np.nan]), float(freedom[0]))
    rungs, count = _sides(one.judged)
    note = f"{len(one.judged.table)} assessors"
    return _Read(age_line(key, title, role, reading, rungs, count, confidence, note=note), reading)


def _sides(judged: ScoredCasks) -> tuple[FloatArray, int]:
    """Ages of the ladder's casks, and how many of the arm's were scored."""
    known = np.isfinite(judged.ages)
    return judged.ages[known], int((~known).sum())


def _together(
    ladder: Sequence[MeasuredCask],
    arm: Sequence[MeasuredCask],
    scores: Sequence[Score],
    scales: Mapping[str, tuple[float, float]],
    moving: Mapping[str, str],
    confidence: float,
) -> _Read | None:
    """The age that the moving notes read as one score: the mean of how far each lies towards the ripe end of its scale.

    A score counts where it has all of them, so that no cask is judged by other notes than the next.
    """
    if not moving:
        return None
    whole = [
        replace(score, values={NOTES: _ripeness(score, scales, moving)})
        for score in scores
        if all(name in score.values for name in moving)
    ]
    names = " and ".join(moving)
    read = _read(found(ladder, arm, whole, NOTES), NOTES, f"panel, {names}", NOTES, confidence)
    if read is None:
        return None
    open_ = int(read.reading.ages.form[0]) != Form.INTERVAL
    note = f"{read.line.note}; {', '.join(f'{name} for {kinds()[kind].title}' for name, kind in moving.items())}"
    return replace(read, line=replace(read.line, used=not open_, note=note))


def _ripeness(score: Score, scales: Mapping[str, tuple[float, float]], moving: Mapping[str, str]) -> float:
    """How ripe a score is, 0 to 10, over the notes that are read."""
    parts = []
    for name, kind in moving.items():
        low, high = scales[name]
        along = (score.values[name] - low) / (high - low)
        parts.append(along if kinds()[kind].way == "rises" else 1.0 - along)
    return WHOLE * float(np.mean(parts))


def _score_of(moving: Sequence[str], speaks: Mapping[str, str]) -> str:
    named = " and ".join(f"{name} ({speaks[name]})" for name in moving)
    return f"score of maturing from {named}"


def _note(
    attribute: str,
    kind: str,
    moves: bool,
    scale: tuple[float, float],
    one: Found,
    own: float,
    confidence: float,
) -> MaltLine:
    """The arm less the ladder at the arm's own age, or at the end of the ladder that is nearest to it."""
    assert one.judged is not None
    assert one.contrast is not None
    ages = one.judged.ages
    years = float(np.clip(own, np.nanmin(ages), np.nanmax(ages)))
    middle, low, high = (float(x[0]) for x in one.contrast.at_age(years, confidence))
    raised = low > 0.0
    side = "higher than" if raised else "lower than" if high < 0.0 else "no sure difference from"
    words = (
        f"{side} reference casks of {plain(years, 1)} years: {signed(middle, 1)} ({signed(low, 1)} to "
        f"{signed(high, 1)}) of a scale {scale[0]:g} to {scale[1]:g}{_meant(kind, moves)}"
    )
    span = f"{scale[0]:g} to {scale[1]:g}"
    return MaltLine(attribute, span, Band(low, middle, high), raised, words, kind == MALT, kind)


def _meant(kind: str, moves: bool) -> str:
    """What a note is taken for, behind its numbers."""
    if kind == MALT:
        return ""
    if not kind:
        return f"; {NOT_JUDGED}"
    speaks = kinds()[kind]
    if moves:
        return f"; speaks of {speaks.title}, {speaks.way} with age on this ladder and is read for age"
    way = speaks.way.removesuffix("s")
    return f"; speaks of {speaks.title} but does not {way} with age on this ladder, so it is not read for age"
