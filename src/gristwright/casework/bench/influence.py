"""Which inputs matter: how far each moves the answer, and what measuring it better would buy. See docs/casework.md."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from gristwright.basics import FloatArray
from gristwright.casework.bench.anchor import anchored_weights
from gristwright.casework.bench.bench import Bench
from gristwright.numerics.weights import band, equal_weights
from gristwright.records.bill import Bill
from gristwright.records.plant import PlantRecord
from gristwright.records.results import MeasureNext
from gristwright.reference import csv_rows

# Less than this share of the band is not worth naming.
WORTH_NAMING = 0.04
MOST_NAMED = 4


def change(bench: Bench, present: Bill, offer: Bill) -> FloatArray:
    """Litres per tonne the offer gives more than the present bill, (members,)."""
    return np.asarray(bench.made(offer).spirit.lpa_per_t - bench.made(present).spirit.lpa_per_t)


def halved(bench: Bench, values: FloatArray, name: str) -> FloatArray:
    """Values (members,) of a traced bench as they would be on its draws with half the spread of one input, (draws,).

    They move by the parabola through the values at the input's low, middle and high, all others at their middle.
    """
    at = bench.runs.effects(values).get(name)
    on_draws = bench.runs.on_draws(values)
    if at is None:
        return on_draws
    points = bench.runs.effects(bench.draws[name])[name]
    now = bench.runs.on_draws(bench.draws[name])
    then = points.middle + 0.5 * (now - points.middle)
    ends = np.array([points.low, points.middle, points.high])
    curve = np.polynomial.Polynomial.fit(ends, np.array([at.low, at.middle, at.high]), 2)
    return np.asarray(on_draws + curve(then) - curve(now))


def measure_next(
    bench: Bench, present: Bill, offer: Bill | None, record: PlantRecord | None
) -> tuple[MeasureNext, ...]:
    """The inputs whose halved spread narrows the answer most, with the narrowing in the answer's unit."""
    answers = [("what the present bill gives", bench.made(present).spirit.lpa_per_t)]
    if offer is not None:
        answers.append((f"the change to {offer.name}", change(bench, present, offer)))
    lines = []
    for name in bench.runs.rests_on(*(values for _, values in answers)):
        weights = _weights(bench, record, halved(bench, answers[0][1], name))
        lines += [item for words, values in answers if (item := narrowing(bench, values, name, words, weights))]
    return best(lines, MOST_NAMED)


def narrowing(
    bench: Bench, values: FloatArray, name: str, words: str, weights: FloatArray | None = None
) -> MeasureNext | None:
    """What half the spread of one input narrows of values (members,); None where it is not worth naming."""
    width = bench.runs.band(values).width
    after = band(halved(bench, values, name), bench.weights if weights is None else weights)
    by = width - after.width
    if by <= WORTH_NAMING * width:
        return None
    meaning = next(prior.meaning for prior in bench.priors if prior.name == name)
    return MeasureNext(name, meaning, words, by, "L pure alcohol/t", how(name))


def best(lines: Iterable[MeasureNext], most: int) -> tuple[MeasureNext, ...]:
    """The most narrowing first, each input once."""
    named: dict[str, MeasureNext] = {}
    for item in sorted(lines, key=lambda item: -item.by):
        named.setdefault(item.assumption, item)
    return tuple(named.values())[:most]


def _weights(bench: Bench, record: PlantRecord | None, lpa_per_t: FloatArray) -> FloatArray:
    if record is None:
        return equal_weights(len(lpa_per_t))
    return anchored_weights(lpa_per_t, record, float(bench.middles["grist.past_lots_spread_lpa_per_t"][0]))


def how(name: str) -> str:
    """How an input is measured."""
    return next((row["how"] for row in csv_rows("tables/how_to_measure.csv") if name.endswith(row["ending"])), "")
