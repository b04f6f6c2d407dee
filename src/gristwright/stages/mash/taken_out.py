"""A decoction in the simulation: a part of the mash run apart and joined again. See docs/mash_simulation.md.

While it is out, the mash and the part are each counted on their own liquid, so that strength and enzyme for each litre
stay what they are: taking out moves the grain alone.
"""

from __future__ import annotations

from copy import copy
from dataclasses import replace
from typing import Any

import numpy as np

from gristwright.records.mash import Charge, Corner, TakenOut
from gristwright.stages.mash.temperature import Lag, legs


def take_out(tun: Any, taken: TakenOut, step_s: float) -> Any:
    """The part taken out of a tun of the simulation, at the end of its boil; the tun keeps the rest.

    In the part the enzymes die and the starch of its grain opens, by the same equations.
    """
    part = copy(tun)
    # A clock of its own, from nought, and kinetics of its own, for they remember the stretch before.
    corners = tuple(Corner(corner.at_min - taken.at_min, corner.settled_degC) for corner in taken.corners)
    grain = (Charge(0.0, 0.0, tuple((one.key, 1.0) for one in tun.grains)),)
    part.programme = replace(tun.programme, corners=corners, charges=grain, draw_offs=(), decoctions=())
    part.kinetics = tun.mash.kinetics(part.programme, tun.grains, tun.pH, tun.draws)
    _grain(part, taken.grain / taken.liquid)
    _grain(tun, (1.0 - taken.grain) / (1.0 - taken.liquid))
    part.lag = Lag(tun.lag.offset_K, tun.lag.mixing_s, np.zeros(tun.members))
    for leg in legs(part.programme, step_s):
        if leg.jumps:
            part.lag.jump(leg, part.mash_degC)
        part._leg(leg)
    return part


def _grain(tun: Any, factor: float) -> None:
    """So many times the grain for each litre of liquid; what is dissolved stays."""
    y = tun.y.copy()
    y[: tun.rows.unopened] *= factor
    tun.y, tun.put_in = y, tun.put_in * factor


def give_back(tun: Any, part: Any, taken: TakenOut) -> None:
    """The part joined to the rest again; of its grain the starch that is still shut counts as put in then."""
    here, there = 1.0 - taken.liquid, taken.liquid
    shut = part.y[: tun.rows.unopened].reshape(len(tun.grains), -1, tun.members).sum(axis=1)
    dextrinase = tun.enzymes_in[2]
    alive = np.where(dextrinase > 0.0, part.enzymes[2] / np.maximum(dextrinase, 1e-30), 0.0)
    tun.put_in = here * tun.put_in + there * shut
    tun.y = here * tun.y + there * part.y
    tun.enzymes = here * tun.enzymes + there * part.enzymes
    tun.lasting_beta = here * tun.lasting_beta + there * part.lasting_beta
    tun.dextrinase_in = here * tun.dextrinase_in + there * alive * part.dextrinase_in
