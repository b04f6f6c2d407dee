"""Simulated ladders with a known answer: what the checks by simulation share. Invented by construction."""

from __future__ import annotations

import numpy as np

from gristwright.basics import Draws
from gristwright.evidence.ageing.simulate import Size

SEEDS = (1, 2, 3)
LADDERS = 1000
SIZE = Size((3.0, 6.0, 8.0, 12.0), 3, 6, 4, 12)


def draws(spread: float = 1.2, kinship: float = 0.3, judging: float = 0.8, halo: float = 0.0) -> Draws:
    """Every ladder with the same spreads, in years."""
    values = {"marker_spread_y": spread, "marker_kinship": kinship, "panel_cask_spread_y": 1.0}
    values |= {"panel_judging_spread_y": judging, "panel_rest_y": 2.0, "sweet_halo_y": halo}
    return {f"ageing.{name}": np.full(LADDERS, value) for name, value in values.items()}
