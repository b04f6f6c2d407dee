"""The order of the stages, and nothing else: grist, mash, wash, still, cask, bottle. See docs/flowsheet.md."""

from __future__ import annotations

from dataclasses import dataclass

from gristwright.basics import Draws, FloatArray
from gristwright.flowsheet.effects import HouseEffect
from gristwright.flowsheet.running_off import drained, mash_run
from gristwright.records.cask import MaturedCask
from gristwright.records.plant import Plant
from gristwright.records.streams import Bottled, Grist, NewSpirit, Wash, Wort
from gristwright.stages.bottle import model as bottle
from gristwright.stages.grist import model as grist
from gristwright.stages.mash import model as mash
from gristwright.stages.mash.laboratory import MashEffect
from gristwright.stages.still import column_doubler
from gristwright.stages.still import model as pot_stills
from gristwright.stages.wash import model as wash


@dataclass(frozen=True)
class NewMake:
    """A bill followed to new spirit, per tonne of grist; every array (members,)."""

    grist: Grist
    wort: Wort
    wash: Wash
    spirit: NewSpirit


def to_new_make(
    shares: FloatArray,
    lots: grist.LotColumns,
    plant: Plant,
    draws: Draws,
    effect: HouseEffect | None = None,
    usual: FloatArray | None = None,
) -> NewMake:
    """From the grist to the new spirit. `shares` (lots,) or (members, lots), adding to one.

    A separated house draws the wort off the grain; a grain-in house ferments and distils the whole mash. `effect` is
    what its simulated mash and wash do to the laboratory's figures; without it they stand as they are. `usual` (lots,)
    is the bill that the house's own hours of run-off belong to.
    """
    blended, wort = to_wort(shares, lots, plant, draws, effect, usual)
    washed = wash.ferment(wort, draws, None if effect is None else effect.wash)
    return NewMake(blended, wort, washed, _distil(washed, plant, draws))


def to_wort(
    shares: FloatArray,
    lots: grist.LotColumns,
    plant: Plant,
    draws: Draws,
    effect: HouseEffect | None = None,
    usual: FloatArray | None = None,
) -> tuple[Grist, Wort]:
    """From the grist to wort or whole mash, for a distiller or a brewer; as `to_new_make`."""
    return _to_wort(shares, lots, plant, draws, None if effect is None else effect.mash, usual)


def mashed_wort(
    shares: FloatArray,
    lots: grist.LotColumns,
    plant: Plant,
    draws: Draws,
    mash_effect: MashEffect,
    usual: FloatArray | None = None,
) -> Wort:
    """The wort of a simulated mash whose wash is still to be simulated; as `to_wort`."""
    return _to_wort(shares, lots, plant, draws, mash_effect, usual)[1]


def _to_wort(
    shares: FloatArray,
    lots: grist.LotColumns,
    plant: Plant,
    draws: Draws,
    effect: MashEffect | None,
    usual: FloatArray | None,
) -> tuple[Grist, Wort]:
    blended = grist.blend(shares, lots, draws)
    if plant.grain_in or not lots.materials:
        return blended, mash.run_off(blended, plant.mash, draws, plant.grain_in, effect)
    off = drained(mash_run(shares, lots, blended, draws, effect, usual), plant.mash)
    return blended, mash.run_off(blended, plant.mash, draws, False, effect, off)


def _distil(washed: Wash, plant: Plant, draws: Draws) -> NewSpirit:
    if plant.column is not None:
        return column_doubler.distil(washed, plant.column, draws)
    if plant.pot_stills is None:
        raise ValueError("a house that distils has pot stills or a column")
    return pot_stills.distil(washed, plant.pot_stills, draws)


def to_bottle(made: NewMake, matured: MaturedCask, abv_pct: float, bottle_L: float, draws: Draws) -> Bottled:
    """The new spirit through its cask into bottles, per tonne of grist; the cask is the same whatever the bill."""
    kept = matured.lpa_L / matured.filled_lpa_L
    return bottle.bottle(made.spirit.lpa_per_t * kept, matured.abv_pct, abv_pct, bottle_L, draws)
