"""What reaches the spirit, in amounts: the markers of each bill, and bills side by side. See docs/give_and_gain.md."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from gristwright.basics import Band
from gristwright.documents.cells import CellView
from gristwright.documents.entries import Entry, entry, sentence, single
from gristwright.quantities.shown import NOTHING, capital, plain, significant
from gristwright.records.markers_through import MarkerAmount, MarkerStep, MarkerTrade, OdourThreshold

UNIT = "µg/L"
DIGITS = 2
RAN = "malt, steps and cut drawn; the house's litres at their middle"
LEFT = "share that the step leaves of what came to it"
# The verdict in a cell, where its long words have no room.
SHORT = {"likely_felt": "likely felt", "unknown": "unknown", "does_not_pass": "does not pass"}
TITLE = "What reaches the spirit, in amounts"
READING = (
    "Felt is said only where the low end passes a threshold measured in 20 to 40 %vol of ethanol, in the spirit as "
    "filled and after its years in the cask alike; a threshold in water or beer says nothing of spirit, and none says "
    "that a marker is not felt. Other aromas mask and add: amounts rank, they make no taste. Where it says unknown, "
    "your own trial decides. Nothing of it makes a whisky older."
)


@dataclass(frozen=True)
class MarkerStepView:
    """Where a marker stands after one step, and what the step left of it."""

    step: str
    title: str
    amount: Entry
    left: Entry | None
    standing: str
    source: str


@dataclass(frozen=True)
class ThresholdView:
    """Where a compound begins to be smelled, in which liquid, and what that rests on."""

    compound: str
    at: Entry
    matrix: str
    in_spirit: bool
    standing: str
    source: str


@dataclass(frozen=True)
class MarkerAmountView:
    """What a bill brings of one marker, with the verdict; amounts are None where none is worked out."""

    marker: str
    title: str
    note: str
    lots: tuple[str, ...]
    passes: str
    verdict: str
    words: str
    why: str
    spirit: Entry | None
    spirit_at: Entry | None
    cask: Entry | None
    cask_years: float
    read: Entry | None
    threshold: ThresholdView | None
    against_today: Entry | None
    by_mass: Entry | None
    steps: tuple[MarkerStepView, ...]
    standing: str
    source: str
    part_of: str
    why_none: str


@dataclass(frozen=True)
class MarkerCell(CellView):
    """An amount with its band, how many times today's it is, and the verdict."""

    times: str = ""
    verdict: str = ""
    words: str = ""


@dataclass(frozen=True)
class MarkerRow:
    """A marker over all bills, with all that is told of it once."""

    marker: str
    title: str
    note: str
    brought_by: str
    threshold: str
    under: str
    cells: tuple[MarkerCell, ...]
    lots: tuple[str, ...]
    held: str
    steps: str
    sentence: str
    why: tuple[str, ...]
    standing: str
    source: str
    part: bool


@dataclass(frozen=True)
class MarkersTable:
    """The markers of every bill side by side, and what the trade says beside it."""

    title: str
    unit: str
    strength: str
    columns: tuple[str, ...]
    rows: tuple[MarkerRow, ...]
    trade: tuple[MarkerTrade, ...]
    reading: str


def marker_views(markers: Iterable[MarkerAmount]) -> tuple[MarkerAmountView, ...]:
    """The markers of one bill as views."""
    return tuple(_view(one) for one in markers)


def reason_words(why: str) -> str:
    """The reason of a verdict as a sentence, its unit with its sign."""
    return sentence(why.replace("ug/L", UNIT))


def _view(one: MarkerAmount) -> MarkerAmountView:
    strength = one.spirit_abv_pct
    return MarkerAmountView(
        marker=one.marker, title=one.title, note=one.note, lots=one.lots, passes=one.passes, verdict=one.verdict,
        words=one.words, why=reason_words(one.why),
        spirit=_amount("spirit", "in the new spirit as filled", UNIT, one.spirit_ug_per_L),
        spirit_at=single("strength", "strength as filled", "%vol", strength, 1, "the plan") if strength else None,
        cask=_amount("cask", "after the cask, by the litre filled", UNIT, one.cask_ug_per_L),
        cask_years=one.cask_years,
        read=_amount("read", "at the threshold's strength", UNIT, one.read_ug_per_L),
        threshold=_threshold(one.threshold),
        against_today=_amount("against_today", "times today's", "times", one.against_today),
        by_mass=_amount("by_mass", "of what the grist holds", "%", one.by_mass_pct),
        steps=tuple(_step(step) for step in one.steps),
        standing=one.standing, source=one.source, part_of=one.part_of, why_none=one.why_none,
    )  # fmt: skip


def _amount(key: str, label: str, unit: str, band: Band | None, basis: str = RAN) -> Entry | None:
    """An amount to two digits, for it is known no better."""
    if band is None:
        return None
    number = entry(key, label, unit, band, 0, basis=basis)
    low, middle, high = (significant(value, DIGITS) for value in (band.low, band.middle, band.high))
    span = "" if band.low == band.high else f"{low} to {high}"
    return replace(number, at=middle, range=span, text=f"{middle} ({span})" if span else middle)


def _threshold(one: OdourThreshold | None) -> ThresholdView | None:
    if one is None:
        return None
    at = _amount("threshold", f"threshold of {one.compound}", UNIT, Band(one.ug_per_L, one.ug_per_L, one.ug_per_L),
                 f"{one.standing}; {one.source}")  # fmt: skip
    assert at is not None
    return ThresholdView(one.compound, at, one.matrix, one.in_spirit, one.standing, one.source)


def _step(step: MarkerStep) -> MarkerStepView:
    amount = _amount(step.step, step.title, step.unit, step.amount)
    assert amount is not None
    left = _amount(f"left_{step.step}", LEFT, "%", step.left_pct)
    return MarkerStepView(step.step, step.title, amount, left, step.standing, step.source)


def markers_table(bills: Sequence[tuple[str, Sequence[MarkerAmount]]], trade: Sequence[MarkerTrade]) -> MarkersTable:
    """The markers of bills, each under its letter, side by side."""
    first: dict[str, MarkerAmount] = {}
    for _, markers in bills:
        for one in markers:
            first.setdefault(one.marker, one)
    by_bill = [{one.marker: one for one in markers} for _, markers in bills]
    order = _in_order([[one.marker for one in markers] for _, markers in bills])
    letters = [letter for letter, _ in bills]
    rows = tuple(_row(first[marker], [known.get(marker) for known in by_bill], letters) for marker in order)
    said = next((one for one in first.values() if one.spirit_abv_pct is not None), None)
    return MarkersTable(
        title=TITLE,
        unit=UNIT,
        strength=_strength(said),
        columns=tuple(letters),
        rows=rows,
        trade=tuple(trade),
        reading=READING,
    )


def _in_order(lists: Sequence[Sequence[str]]) -> list[str]:
    """The markers in the order of the longest list, what the others have besides behind."""
    longest = max(lists, key=len, default=[])
    return list(dict.fromkeys([*longest, *(marker for each in lists for marker in each)]))


def _strength(one: MarkerAmount | None) -> str:
    if one is None or one.spirit_abv_pct is None:
        return ""
    return f"{UNIT} in the new spirit as filled, at {plain(one.spirit_abv_pct, 1)} %vol."


def _row(one: MarkerAmount, of_bills: Sequence[MarkerAmount | None], letters: Sequence[str]) -> MarkerRow:
    lots = sorted({lot for each in of_bills if each is not None for lot in each.lots})
    said = next((each for each in of_bills if each is not None and each.steps), one)
    why = dict.fromkeys(reason_words(each.why) for each in of_bills if each is not None and each.why != each.sentence)
    return MarkerRow(
        marker=one.marker,
        title=capital(one.title),
        note=one.note,
        brought_by=one.brought_by,
        threshold=_threshold_words(one.threshold),
        under=one.threshold.matrix if one.threshold else "",
        cells=tuple(_cell(each) for each in of_bills),
        lots=tuple(lots),
        held=_held_words(of_bills, letters),
        steps=_steps_words(said),
        sentence=sentence(one.sentence),
        why=tuple(why) if len(why) == 1 else (),
        standing=_standing(said),
        source=one.source,
        part=bool(one.part_of),
    )


def _threshold_words(one: OdourThreshold | None) -> str:
    return NOTHING if one is None else f"{significant(one.ug_per_L, DIGITS)} {one.compound}"


def _cell(one: MarkerAmount | None) -> MarkerCell:
    if one is None:
        return MarkerCell("none brought", "", "", "", "")
    amount = _amount("", "", "", one.spirit_ug_per_L)
    times = _amount("", "", "", one.against_today)
    return MarkerCell(
        amount.at if amount else NOTHING,
        amount.range if amount else "",
        f"{times.at} x today's" if times else "",
        one.verdict,
        SHORT[one.verdict],
    )


def _steps_words(one: MarkerAmount) -> str:
    """What each step leaves of what came to it, as one line."""
    return "; ".join(f"{step.title} {_shown(step.left_pct)} %" for step in one.steps if step.left_pct is not None)


def _held_words(of_bills: Sequence[MarkerAmount | None], letters: Sequence[str]) -> str:
    """What each grist holds, as one line [mg/kg]."""
    held = [(letter, one.steps[0]) for letter, one in zip(letters, of_bills, strict=True) if one and one.steps]
    said = [f"{letter} {significant(step.amount.middle, DIGITS)}" for letter, step in held]
    return f"Held, mg/kg of grist: {', '.join(said)}" if said else ""


def _shown(band: Band) -> str:
    low, middle, high = (significant(value, DIGITS) for value in (band.low, band.middle, band.high))
    return middle if low == middle == high else f"{middle} ({low} to {high})"


def _standing(one: MarkerAmount) -> str:
    """The standing of every step, the amounts' weakest first."""
    steps: Mapping[str, None] = dict.fromkeys(step.standing for step in one.steps)
    return ", ".join(dict.fromkeys([one.standing, *steps]))
