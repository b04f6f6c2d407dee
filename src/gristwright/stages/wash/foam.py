"""How high the foam of a wash stands, by the gas that comes up through it. See docs/wash.md."""

from __future__ import annotations

import numpy as np

from gristwright.basics import Band, Draws, FloatArray
from gristwright.records.wash import WashEnd
from gristwright.records.wash_findings import GristInWash

# Carbon dioxide at 20 degC and 101.3 kPa, ideal gas [m3/kg].
CO2_m3_PER_KG = 0.02406 / 0.04401


def head_over_wash(end: WashEnd, grist: GristInWash, draws: Draws) -> FloatArray:
    """Height of the foam over the height of the wash when most gas is given off; (members,).

    Foam stands for a time before it breaks: its height is the gas that comes up through a surface in that time. The
    gas of a deep wash grows with its depth, so the share does not depend on the vessel.
    """
    gas = end.most_co2_kg_per_m3_h * CO2_m3_PER_KG
    head = draws["wash.foam_h"] * gas * grist.head_of_sticky * (1.0 + draws["wash.foam_of_wheat"] * grist.wheat_share)
    if grist.boiled:
        head = head * draws["wash.foam_of_boiled"]
    if grist.whole_mash:
        head = head * (1.0 + draws["wash.foam_of_grain"])
    return np.asarray(head)


def most_filled_L(volume_L: float, head_over: Band) -> float:
    """So much in a washback [L] that the foam of 95 % of the runs has room above it."""
    return volume_L / (1.0 + head_over.high)
