"""How far casks and assessors differ in the plan of a proof: the house's own where it gives one, else a wide prior."""

from __future__ import annotations

from collections.abc import Mapping

from gristwright.basics import Assumption, Band, Standing
from gristwright.numerics.draws import prior_band
from gristwright.reference.load import priors

OWN = "the house's own casks, as given"


def assumptions(given: Mapping[str, float | None]) -> tuple[Assumption, ...]:
    """What a plan rests on; a spread that is given [years], by its prior's name, is measured and has no band."""
    return tuple(
        Assumption(p.name, p.meaning, p.unit, prior_band(p), p.source.standing, p.source.text)
        if (own := given.get(p.name)) is None
        else Assumption(p.name, p.meaning, p.unit, Band(own, own, own), Standing.MEASURED, OWN)
        for p in priors("ageing")
    )
