"""What the wash itself is known to hold of a marker, in place of the shares of wort and yeast.

See docs/give_and_gain.md and docs/wash.md.
"""

from __future__ import annotations

import numpy as np

from gristwright.basics import FloatArray, Source, Standing
from gristwright.numerics.draws import stratified
from gristwright.records.wash_besides import WashAmount

# 95 % of a normal distribution in standard deviations.
NINETY_FIVE_SD = 1.645
TINY = 1e-12


def mg_per_t(marker: str, amount: WashAmount, lpa_per_t: float, members: int, seed: int) -> FloatArray:
    """The marker in the wash of a tonne [mg], (members,): drawn from its band, on the logarithm to each side.

    The litres are those of the spirit: what the still loses of alcohol is nothing beside the band.
    """
    from scipy.special import ndtri

    low, middle, high = (max(value, TINY) for value in vars(amount.mg_per_lpa).values())
    share = ndtri(stratified(f"marker.{marker}.in_wash", members, seed)) / NINETY_FIVE_SD
    side = np.where(share < 0.0, np.log(middle / low), np.log(high / middle))
    return np.asarray(lpa_per_t * middle * np.exp(share * side))


def source_of(amount: WashAmount) -> Source:
    """What the wash's own amount rests on."""
    return Source(amount.source, Standing(amount.standing))
