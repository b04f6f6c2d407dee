"""The run-off of one house's mash: its grain from the grist's room, its wort from the mash's. See docs/boards.md."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.records.plant import MashPlan
from gristwright.records.streams import Draining, Grist, RunOff
from gristwright.stages.grist import bed
from gristwright.stages.grist.bed import Laid
from gristwright.stages.grist.model import LotColumns
from gristwright.stages.mash.draining import draining, reference
from gristwright.stages.mash.laboratory import MashEffect
from gristwright.stages.mash.model import Drained


@dataclass(frozen=True)
class RunningOff:
    """A grist in a vessel with its wort, ready to be run off as it is or in another way; arrays (members,).

    `usual` is the grist that the house's own hours belong to, where it states them.
    """

    laid: Laid
    extract_kg_per_kg: FloatArray
    draws: Draws
    usual: Laid | None = None

    def draining(self, plan: MashPlan, laid: Laid | None = None) -> Draining:
        """First wort and washings by a plan; husks put in beside the grist bring no extract."""
        grain = 1.0 if laid is None else (1.0 - laid.husks) / (1.0 - self.laid.husks)
        return draining(plan, self.extract_kg_per_kg * grain)

    def thick(self, plan: MashPlan, laid: Laid | None = None) -> FloatArray:
        """Viscosity of its wort over the reference's by strength and temperature."""
        return bed.thinness(self.draining(plan, laid), reference(bool(plan.rests)), self.draws)

    def off(self, plan: MashPlan, laid: Laid | None = None, own: FloatArray | None = None) -> RunOff:
        """Its hours by a plan; of another grist where `laid` is given, with the house's own factor `own`."""
        return bed.run_off(laid or self.laid, plan, self.draws, self.thick(plan, laid), self.usual, own)

    def own(self, plan: MashPlan) -> FloatArray:
        """The house's own hours over those estimated, (members,)."""
        return bed.own_factor(plan, self.draws, self.thick(plan), self.usual)


def mash_run(
    shares: FloatArray,
    lots: LotColumns,
    grist: Grist,
    draws: Draws,
    effect: MashEffect | None = None,
    usual: FloatArray | None = None,
) -> RunningOff:
    """A grist in its vessel; `shares` (lots,) or (members, lots), `usual` (lots,) is behind the house's hours."""
    dissolved = grist.extract_asis_pct / 100.0 * (1.0 - (0.0 if effect is None else effect.unconverted))
    glucan = lots.beta_glucan_mg_per_L
    behind = None if usual is None else Laid(usual, lots.materials, glucan)
    return RunningOff(Laid(shares, lots.materials, glucan), np.asarray(dissolved), draws, behind)


def drained(run: RunningOff, plan: MashPlan) -> Drained:
    """How its wort leaves its grain, as the balance of the mash asks."""
    return Drained(run.draining(plan), reference(bool(plan.rests)), run.off(plan))
