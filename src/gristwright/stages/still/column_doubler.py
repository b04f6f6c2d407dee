"""A beer column with a doubler behind it as a balance of mass and alcohol. See docs/still.md."""

from __future__ import annotations

import math

import numpy as np

from gristwright.basics import Address, Draws, Problem, at
from gristwright.quantities import alcoholometry
from gristwright.records.plant import ColumnDoubler
from gristwright.records.streams import NewSpirit, Wash
from gristwright.stages.still import mixture
from gristwright.stages.still.model import part
from gristwright.stages.still.vle import first_vapour_abv_pct

PLANT = at("plant", "column")
LEAST_HEAD_ABV_PCT, MOST_HEAD_ABV_PCT = 40.0, 80.0


def distil(wash: Wash, column: ColumnDoubler, draws: Draws) -> NewSpirit:
    """Spirit filled and alcohol lost, per tonne of grist as it is; arrays (members,), LPA and litres at 20 degC.

    The column parts the beer into head and whole stillage; what the doubler does not pass on goes back to the beer
    well, so in the steady state only stillage and handling lose alcohol. The spirit is mass times mass fraction after
    the lever rule; the losses are volumes times strength by volume: the two meet only when both are right. The solids
    of the beer stay with the stillage and are left out on both sides.
    """
    beer_share = mixture.mass_fraction(wash.abv_pct)
    head_share = mixture.mass_fraction(np.full_like(wash.abv_pct, column.head_abv_pct))
    spirit_share = mixture.mass_fraction(np.full_like(wash.abv_pct, column.doubler_abv_pct))
    stillage_share = np.minimum(draws["still.stillage_ethanol_mass_pct"] / 100.0, 0.5 * beer_share)
    stillage_abv = alcoholometry.abv_pct_from_mass_fraction(stillage_share)
    lost = draws["still.handling_loss_pct"] / 100.0

    beer_kg = wash.volume_L_per_t * mixture.density_20C_kg_m3(beer_share) / 1000.0
    first = part(beer_kg, beer_share, head_share, stillage_share)
    ethanol_kg = first.strong_kg * head_share
    stillage_L = first.weak_kg / mixture.density_20C_kg_m3(stillage_share) * 1000.0
    head_L = first.strong_kg / mixture.density_20C_kg_m3(head_share) * 1000.0
    doubled_L = ethanol_kg * (1.0 - lost) / spirit_share / mixture.density_20C_kg_m3(spirit_share) * 1000.0
    passed_lpa = head_L * column.head_abv_pct / 100.0 + doubled_L * column.doubler_abv_pct / 100.0
    nothing = np.zeros_like(wash.abv_pct)
    return NewSpirit(
        lpa_per_t=ethanol_kg * (1.0 - lost) ** 2 * 1000.0 / mixture.ethanol_20C_kg_m3(),
        abv_pct=np.full_like(wash.abv_pct, column.doubler_abv_pct),
        pot_ale_lpa_per_t=stillage_L * stillage_abv / 100.0,
        spent_lees_lpa_per_t=nothing,
        handling_lpa_per_t=passed_lpa * lost,
        pot_ale_L_per_t=stillage_L,
        low_wines_L_per_t=head_L,
        charge_abv_pct=nothing + column.head_abv_pct,
    )


def check(column: ColumnDoubler, where: Address = PLANT) -> list[Problem]:
    """Strengths that a beer column and one more equilibrium stage cannot give, or that leave the balance."""
    problems = []
    if not LEAST_HEAD_ABV_PCT <= column.head_abv_pct <= MOST_HEAD_ABV_PCT:
        what = f"{column.head_abv_pct:g} %vol at the head is outside {LEAST_HEAD_ABV_PCT:g}-{MOST_HEAD_ABV_PCT:g} %vol."
        problems.append(Problem(where.to("head_abv_pct"), what, "Give the strength leaving the column's head."))
    else:
        most = float(first_vapour_abv_pct(column.head_abv_pct))
        if not column.head_abv_pct <= column.doubler_abv_pct <= most:
            highest = math.floor(10.0 * most) / 10.0  # rounded down: a value above it never reads as the limit
            what = f"{column.doubler_abv_pct:g} %vol is outside {column.head_abv_pct:g}-{highest:.1f} %vol."
            way_out = "One doubler is at most one equilibrium stage on what the column sends it."
            problems.append(Problem(where.to("doubler_abv_pct"), what, way_out))
    return problems
