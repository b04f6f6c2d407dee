"""Which inputs matter: how far each moves the answer, and what measuring it better would buy. See docs/casework.md."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from gristwright.basics import Band, Draws, FloatArray
from gristwright.casework.bench.anchor import anchored_weights
from gristwright.casework.bench.bench import Bench
from gristwright.numerics.weights import band, equal_weights, quantiles
from gristwright.records.bill import Bill
from gristwright.records.plant import PlantRecord
from gristwright.records.results import MeasureNext
from gristwright.reference import csv_rows

# Less than this share of the band is not worth naming.
WORTH_NAMING = 0.04
# Inputs that the simulated mash reads.
MASHED = ("mash.", "lot.", "grist.carbohydrate_share")
MOST_NAMED = 4


def change(bench: Bench, present: Bill, offer: Bill, draws: Draws) -> FloatArray:
    """Litres per tonne the offer gives more than the present bill, (members,)."""
    return _lpa(bench, offer, draws) - _lpa(bench, present, draws)


def change_halved(bench: Bench, present: Bill, offer: Bill, name: str) -> FloatArray:
    """The same with half the spread of one input, (members,)."""
    halved = _halved(bench, name)
    return _lpa_halved(bench, offer, halved, name) - _lpa_halved(bench, present, halved, name)


def _halved(bench: Bench, name: str) -> Draws:
    middle = bench.middles[name][0]
    return dict(bench.draws) | {name: middle + 0.5 * (bench.draws[name] - middle)}


def _lpa(bench: Bench, bill: Bill, draws: Draws) -> FloatArray:
    shares = bench.shares(bill)
    return bench.new_make(shares, draws, bench.mash_effect(shares, draws)).spirit.lpa_per_t


def effects(bench: Bench, present: Bill, offer: Bill, names: Iterable[str]) -> dict[str, Band]:
    """The offer's difference [L/t] with one input at its low, middle and high and all others at their middle."""
    drawn = [name for name in names if name in bench.draws]
    if not drawn:
        return {}
    moved = {key: np.repeat(value, 3 * len(drawn)) for key, value in bench.middles.items()}
    for k, name in enumerate(drawn):
        moved[name][3 * k : 3 * k + 3] = quantiles(bench.draws[name], bench.weights)
    found = change(bench, present, offer, moved).reshape(-1, 3)
    return {name: Band(*(float(x) for x in ends)) for name, ends in zip(drawn, found, strict=True)}


def measure_next(
    bench: Bench, present: Bill, offer: Bill | None, record: PlantRecord | None, names: Iterable[str]
) -> tuple[MeasureNext, ...]:
    """The inputs whose halved spread narrows the answer most, with the narrowing in the answer's unit."""
    found = []
    for name in names:
        if name in bench.draws and np.ptp(bench.draws[name]) > 0.0:
            found += _narrowings(bench, present, offer, record, name)
    found.sort(key=lambda item: -item.by)
    best: list[MeasureNext] = []
    for item in found:
        if len(best) < MOST_NAMED and item.assumption not in {other.assumption for other in best}:
            best.append(item)
    return tuple(best)


def _narrowings(
    bench: Bench, present: Bill, offer: Bill | None, record: PlantRecord | None, name: str
) -> list[MeasureNext]:
    halved = _halved(bench, name)
    now_before, now_after = _lpa(bench, present, bench.draws), _lpa_halved(bench, present, halved, name)
    weights = _weights(bench, record, now_after)
    answers = [("what the present bill gives", now_before, now_after)]
    if offer is not None:
        before = _lpa(bench, offer, bench.draws) - now_before
        after = _lpa_halved(bench, offer, halved, name) - now_after
        answers.append((f"the change to {offer.name}", before, after))
    meaning = next(prior.meaning for prior in bench.priors if prior.name == name)
    found = []
    for words, before, after in answers:
        width = band(before, bench.weights).width
        by = width - band(after, weights).width
        if by > WORTH_NAMING * width:
            found.append(MeasureNext(name, meaning, words, by, "L pure alcohol/t", how(name)))
    return found


def _lpa_halved(bench: Bench, bill: Bill, halved: Draws, name: str) -> FloatArray:
    """The bill on draws with one input's spread halved.

    The mash is not simulated anew for each input: its effect moves by the curve of second degree through the draws.
    """
    shares = bench.shares(bill)
    effect = bench.mash_effect(shares, bench.draws)
    if name.startswith(MASHED):
        then, now = halved[name], bench.draws[name]
        effect = replace(
            effect,
            converted=np.clip(_moved(effect.converted, now, then), 0.0, 1.0),
            taken=_moved(effect.taken, now, then),
        )
    return bench.new_make(shares, halved, effect).spirit.lpa_per_t


def _moved(values: FloatArray, now: FloatArray, then: FloatArray) -> FloatArray:
    """What the values would be with another input, by a parabola fitted to them; (members,)."""
    centre, scale = float(now.mean()), float(now.std())
    curve = np.polynomial.polynomial.polyfit((now - centre) / scale, values, 2)
    at = np.polynomial.polynomial.polyval
    return np.asarray(values + at((then - centre) / scale, curve) - at((now - centre) / scale, curve))


def _weights(bench: Bench, record: PlantRecord | None, lpa_per_t: FloatArray) -> FloatArray:
    if record is None:
        return equal_weights(len(lpa_per_t))
    return anchored_weights(lpa_per_t, record, float(bench.middles["grist.past_lots_spread_lpa_per_t"][0]))


def how(name: str) -> str:
    """How an input is measured."""
    return next((row["how"] for row in csv_rows("tables/how_to_measure.csv") if name.endswith(row["ending"])), "")
