"""What the wash of a bill holds besides alcohol, read from its reference run. See docs/wash.md."""

from __future__ import annotations

import numpy as np

from gristwright.basics import FloatArray
from gristwright.casework.bench.bench import GristBench
from gristwright.numerics import draws as drawing
from gristwright.records.bill import WHOLE, Bill
from gristwright.records.wash_besides import MadeBesides, WashAmount, wash_amounts
from gristwright.reference import priors
from gristwright.stages.wash.besides import besides
from gristwright.stages.wash.besides_of_course import conditions_of
from gristwright.stages.wash.setting import yeast_kind

CLOVE_GRAINS, WHEAT_AND_RYE = ("barley", "wheat", "rye"), ("wheat", "rye")


def besides_of_bill(bench: GristBench, bill: Bill) -> tuple[MadeBesides, ...]:
    """Everything the table knows of, each with its range on draws of its own; no litre rests on it."""
    return _made(bench, bill)[0]


def amounts_of_bill(bench: GristBench, bill: Bill) -> dict[str, WashAmount]:
    """What the still's markers are told of the bill's wash, by marker."""
    return wash_amounts(*_made(bench, bill))


def _made(bench: GristBench, bill: Bill) -> tuple[tuple[MadeBesides, ...], FloatArray]:
    """What is made, and the strength of the wash it is made in [%vol]."""
    plant, middles = bench.plant, bench.middles
    pitched = bench.pitched_middle(bench.shares(bill))
    course = pitched.run()
    stated = plant.washbacks.pitch_million_per_mL
    conditions = conditions_of(
        course,
        pitched.wort,
        yeast_kind(plant.washbacks, plant.wort_boiled),
        boiled=plant.wort_boiled,
        pitch_million_per_mL=middles["wash.pitch_million_per_mL"] if stated is None else np.array([stated]),
        barley_wheat_rye=_share(bench, bill, CLOVE_GRAINS),
        wheat_rye=_share(bench, bill, WHEAT_AND_RYE),
    )
    draws = drawing.sample(priors("wash_besides"), drawing.MEMBERS, bench.seed)
    return besides(conditions, draws), course.abv_pct[-1]


def _share(bench: GristBench, bill: Bill, species: tuple[str, ...]) -> float:
    """Share of the grist that is grain of these species, 0 to 1; husks bring nothing."""
    grains = [b for b in bench.lots if b.material.species in species and not b.material.husk]
    return sum(bill.parts_of(belief.lot.lot_id) for belief in grains) / WHOLE
