"""The first trial to run: how many mashes of each bill, in which order, and when to stop. See docs/casework.md."""

from __future__ import annotations

import math

from gristwright.records.plant import PlantRecord
from gristwright.records.results import Offer, Trial

# One-sided 5 % and 80 % power: 1.645 + 0.842.
Z = 1.6449 + 0.8416
LEAST_MASHES, MOST_MASHES = 4, 40
USUAL_SD_LPA_PER_T = 5.0


def mashes_each(difference: float, sd: float) -> int:
    """Mashes of each bill that show a difference of this size in four trials of five, at one false alarm in twenty.

    n = 2 (z_0.95 + z_0.80)^2 sd^2 / difference^2, the usual normal approximation for two means.
    """
    if difference == 0.0:
        return MOST_MASHES
    return max(LEAST_MASHES, min(MOST_MASHES, math.ceil(2.0 * (Z * sd / difference) ** 2)))


def first_trial(offer: Offer, record: PlantRecord | None, today: str) -> Trial:
    """The trial of one offer against the present bill in the plant."""
    difference = offer.changes["lpa_per_t"].band.middle
    sd = record.sd_lpa_per_t if record else USUAL_SD_LPA_PER_T
    count = mashes_each(difference, sd)
    name = offer.result.bill.name
    steps = (
        f"Mash {count} of {name} and {count} of {today} in turn, the first drawn by lot; same lots, liquor, yeast, "
        "washback and hours.",
        "Write down kilograms, litres and gravity of wort, wash litres and strength at 20 degC, spirit litres and "
        "strength at 20 degC, and the feints stock before and after.",
        f"Stop after {2 * count} mashes and not before, whatever the first results look like. Stop at once if "
        "iodine still turns blue at run-off or the wash stays above 1.004.",
        "Keep both spirits apart for the panel: same strength, coded, nosed blind. One trial shows the yield; "
        "character needs lot after lot.",
    )
    return Trial(name, count, difference, sd, steps)
