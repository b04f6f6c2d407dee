"""A decoction in the simulation: a part of the mash run apart and joined again. See docs/mash_simulation.md.

While it is out, the mash and the part are each counted on their own liquid, so that strength and enzyme for each litre
stay what they are: taking out moves the grain alone.
"""

from __future__ import annotations

from copy import copy
from dataclasses import replace
from typing import Any

import numpy as np

from gristwright.records.mash import Corner, TakenOut
from gristwright.stages.mash.temperature import Lag, legs


def take_out(tun: Any, taken: TakenOut, step_s: float) -> Any:
    """The part taken out of a tun of the simulation, at the end of its boil; the tun keeps the rest.

    In the part the enzymes die and the starch of its grain opens, by the same equations.
    """
    part = copy(tun)
    # A clock of its own, from nought.
    corners = tuple(Corner(corner.at_min - taken.at_min, corner.settled_degC) for corner in taken.corners)
    part.programme = replace(tun.programme, corners=corners, charges=(), draw_offs=(), decoctions=())
    part.times, part.records, part.worts = [], [], []
    _grain(part, taken.grain / taken.liquid)
    _grain(tun, (1.0 - taken.grain) / (1.0 - taken.liquid))
    hottest = max(corner.settled_degC for corner in taken.corners)
    part.openable = part.constant.opening.openable([hottest] * len(part.grains))
    part.lag = Lag(tun.lag.offset_K, tun.lag.mixing_s, np.zeros(tun.members))
    for leg in legs(part.programme, step_s):
        if leg.jumps:
            part.lag.jump(leg, part.mash_degC)
        part._leg(leg)
    return part


def _grain(tun: Any, factor: float) -> None:
    """So many times the grain for each litre of liquid; what is dissolved stays."""
    y = tun.y.copy()
    y[: tun.rows.open] *= factor
    tun.y, tun.still = y, tun.still * factor


def give_back(tun: Any, part: Any, taken: TakenOut) -> None:
    """The part joined to the rest again; of its grain the starch that is still shut counts as put in then."""
    here, there = 1.0 - taken.liquid, taken.liquid
    alive = np.where(tun.enzymes_in[2] > 0.0, part.enzymes[2] / np.maximum(tun.enzymes_in[2], 1e-30), 0.0)
    tun.still = here * tun.still + there * part.y[: tun.rows.open]
    tun.y = here * tun.y + there * part.y
    tun.enzymes = here * tun.enzymes + there * part.enzymes
    tun.dextrinase_in = here * tun.dextrinase_in + there * alive * part.dextrinase_in
