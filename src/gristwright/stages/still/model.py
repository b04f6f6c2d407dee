"""Double distillation in pots as a balance of mass and alcohol. See docs/still.md."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.records.plant import PotStills
from gristwright.records.streams import NewSpirit, Wash
from gristwright.stages.still import mixture, rayleigh


@dataclass(frozen=True)
class Parted:
    """A liquid parted in a still into a stronger and a weaker one, kilograms; arrays (members,)."""

    strong_kg: FloatArray
    weak_kg: FloatArray


def part(feed_kg: FloatArray, feed: FloatArray, strong: FloatArray, weak: FloatArray) -> Parted:
    """What a still of given mass fractions makes of a feed; (members,). Mass and ethanol balance (lever rule)."""
    strong_kg = feed_kg * (feed - weak) / (strong - weak)
    return Parted(strong_kg, feed_kg - strong_kg)


def distil(wash: Wash, stills: PotStills, draws: Draws) -> NewSpirit:
    """Spirit filled and alcohol lost, per tonne of grist as it is; arrays (members,), LPA and litres at 20 degC.

    Two routes that share only the kilograms: the spirit is its mass times its mass fraction of ethanol, after the lever
    rule at both stills and the handling loss; each loss is a volume left behind times its strength by volume. They
    meet in wash = spirit + pot ale + spent lees + handling when the still balances, the recycling and the conversions
    between mass and volume are all right. All foreshots and feints go back into the next charge, so in the steady
    state they neither add nor lose. The solids of the wash stay with the pot ale and are left out on both sides.

    `charge_abv_pct` is the stated charge moved by as much as the low wines of this wash, run to 1 %vol, would differ
    from the stated low wines: a house that puts up its gravity sees its charge rise. Raises nothing; see limits.py.
    """
    wash_share = mixture.mass_fraction(wash.abv_pct)
    pot_ale_abv, lees_abv = draws["still.pot_ale_abv_pct"], draws["still.spent_lees_abv_pct"]
    kept = 1.0 - draws["still.handling_loss_pct"] / 100.0
    low_wines_share = mixture.mass_fraction(np.full_like(wash.abv_pct, stills.low_wines_abv_pct))
    heart_share = mixture.mass_fraction(np.full_like(wash.abv_pct, stills.heart_abv_pct))
    pot_ale_share, lees_share = mixture.mass_fraction(pot_ale_abv), mixture.mass_fraction(lees_abv)

    wash_kg = wash.volume_L_per_t * mixture.density_20C_kg_m3(wash_share) / 1000.0
    first = part(wash_kg, wash_share, low_wines_share, pot_ale_share)
    second = part(first.strong_kg * kept, low_wines_share, heart_share, lees_share)

    pot_ale_L, low_wines_L = _litres(first.weak_kg, pot_ale_share), _litres(first.strong_kg, low_wines_share)
    lees_L, heart_L = _litres(second.weak_kg, lees_share), _litres(second.strong_kg, heart_share)
    run_off_lpa = low_wines_L * stills.low_wines_abv_pct / 100.0 + heart_L * stills.heart_abv_pct / 100.0
    return NewSpirit(
        lpa_per_t=second.strong_kg * kept * heart_share * 1000.0 / mixture.ethanol_20C_kg_m3(),
        abv_pct=np.full_like(wash.abv_pct, stills.heart_abv_pct),
        pot_ale_lpa_per_t=pot_ale_L * pot_ale_abv / 100.0,
        spent_lees_lpa_per_t=lees_L * lees_abv / 100.0,
        handling_lpa_per_t=run_off_lpa * draws["still.handling_loss_pct"] / 100.0,
        pot_ale_L_per_t=pot_ale_L,
        low_wines_L_per_t=low_wines_L,
        charge_abv_pct=charge_abv_pct(wash.abv_pct, stills, draws["still.wash_still_reflux"]),
    )


def charge_abv_pct(wash_abv_pct: FloatArray, stills: PotStills, reflux: FloatArray) -> FloatArray:
    """Strength of the spirit-still charge [%vol] this wash leads to, the house's feints as stated; (members,)."""
    expected = rayleigh.low_wines_abv_pct(wash_abv_pct, reflux)
    return stills.charge_abv_pct + expected - stills.low_wines_abv_pct


def unaccounted_lpa_per_t(wash: Wash, spirit: NewSpirit) -> FloatArray:
    """What the balance leaves open [LPA/t]: wash less spirit less every loss; (members,), zero but for rounding."""
    lost = spirit.pot_ale_lpa_per_t + spirit.spent_lees_lpa_per_t + spirit.handling_lpa_per_t
    return np.asarray(wash.volume_L_per_t * wash.abv_pct / 100.0 - spirit.lpa_per_t - lost)


def _litres(kg: FloatArray, mass_share: FloatArray) -> FloatArray:
    return np.asarray(1000.0 * kg / mixture.density_20C_kg_m3(mass_share))
