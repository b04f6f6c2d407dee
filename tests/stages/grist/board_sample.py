"""Grists and lots for the tests of the boards."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.numerics import draws as drawing
from gristwright.numerics.weights import equal_weights
from gristwright.records.lot import Material
from gristwright.records.plant import MashPlan
from gristwright.records.streams import Grist
from gristwright.reference import priors
from gristwright.stages.grist.materials import materials

MEMBERS = 256
DRAWS: Draws = drawing.sample(priors("grist"), MEMBERS, 1)
WEIGHTS = equal_weights(MEMBERS)
PLAN = MashPlan(kg_per_mash=2000.0, wort_L_per_t=5000.0, plate_area_m2=10.0)


def full(value: float) -> FloatArray:
    return np.full(MEMBERS, value)


def grist(power: float, units: float) -> Grist:
    rest = dict.fromkeys(Grist.__dataclass_fields__, full(0.0))
    return Grist(**rest | {"diastatic_power_degLintner": full(power), "dextrinising_units": full(units)})


def of(*keys: str) -> list[Material]:
    return [materials()[key] for key in keys]


def middle(lots: Sequence[Material], field: str) -> FloatArray:
    """The usual value of each lot's type, (members, lots); zero where the type is not asked for it."""
    values = [lot.typical[field].middle if field in lot.typical else 0.0 for lot in lots]
    return np.tile(np.array(values), (MEMBERS, 1))
