"""What a house makes of a grist beside the laboratory's figures: its mash and its wash. See docs/flowsheet.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gristwright.basics import FloatArray
from gristwright.records.wash import WashEnd
from gristwright.stages.mash import laboratory
from gristwright.stages.mash.laboratory import MashEffect


@dataclass(frozen=True)
class HouseEffect:
    """The simulated mash and the simulated wash of one grist in one house; arrays (members,)."""

    mash: MashEffect
    wash: WashEnd

    @property
    def factor(self) -> FloatArray:
        """Alcohol in the washback over what the laboratory's figures promise, but for the extract left in the grain."""
        return np.asarray(self.mash.factor * self.wash.kept)


def cut(effects: HouseEffect, part: slice) -> HouseEffect:
    """An effect for some of the members."""
    return HouseEffect(
        laboratory.cut(effects.mash, part),
        WashEnd(**{name: values[part] for name, values in vars(effects.wash).items()}),
    )


def joined(parts: Sequence[HouseEffect]) -> HouseEffect:
    """The effects of several lots of members, one behind the other."""
    washes = [vars(part.wash) for part in parts]
    return HouseEffect(
        laboratory.joined([part.mash for part in parts]),
        WashEnd(**{name: np.concatenate([wash[name] for wash in washes]) for name in washes[0]}),
    )


def scaled(known: HouseEffect, here: HouseEffect, there: HouseEffect) -> HouseEffect:
    """A known effect moved as two on one run differ, (1,) each: what counts in litres by ratio, else by difference."""
    moved = {}
    for name, values in vars(known.wash).items():
        now, before = getattr(here.wash, name), getattr(there.wash, name)
        if values.dtype == np.bool_:
            moved[name] = np.where(now == before, values, now)
        elif name in ("kept", "ethanol_g_per_L", "attenuated", "co2_kg_per_m3", "heat_MJ_per_m3"):
            moved[name] = values * now / np.maximum(before, 1e-9)
        else:
            moved[name] = np.maximum(values + (now - before), 0.0)
    return HouseEffect(laboratory.scaled(known.mash, here.mash, there.mash), WashEnd(**moved))
