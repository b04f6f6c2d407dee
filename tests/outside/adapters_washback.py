"""What the simulated wash gives where the trade or a heat balance says what it should, for tests/outside/wash.csv."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from stages.wash.washes import OF_SUGAR, USUAL, ends, fermented_pct, one, wash, wort

ROOM_DEGC = 18.0


def usual_fermented_pct(hour: float) -> float:
    """Alcohol of the usual wash at an hour in per cent of that at its end."""
    return fermented_pct(wash(), hour)


def warmest_degC(set_degC: float, filled_m3: float) -> float:
    """Warmest of 14 degP that is not cooled, room 18 degC."""
    backs = replace(USUAL, set_degC=set_degC, volume_L=1000.0 * filled_m3 / 0.85)
    return ends(wash(backs=backs))["peak_degC"]


def warmest_h() -> float:
    """Hour at which the usual wash is warmest."""
    return ends(wash())["peak_h"]


def lost_by_heat_pct() -> float:
    """Litres that setting at 28 and not at 20 degC costs, 14 degP in 30 m3 not cooled."""
    cool, hot = (ends(wash(backs=replace(USUAL, set_degC=degC)))["kept"] for degC in (20.0, 28.0))
    return 100.0 * (1.0 - hot / cool)


def lactic_cost_pct(count_per_mL: float) -> float:
    """Litres that so many lactic bacteria at pitching cost a strong wash held at 30 degC for 72 h."""
    held = replace(USUAL, set_degC=30.0, cooling="coil", cooled_from_degC=30.0)
    strong = {"degP": 20.0}
    clean, spoilt = (
        ends(wash(wort(**strong, bacteria_log10_per_mL=log10), backs=held))["kept"]
        for log10 in (0.0, float(np.log10(count_per_mL)))
    )
    return 100.0 * (1.0 - spoilt / clean)


def boiled_over_unboiled() -> float:
    """Alcohol of a wort whose enzymes are dead over that of the same wort alive, 96 h."""
    backs = replace(USUAL, hours=96.0, cooling="jacket", cooled_from_degC=30.0)
    live = wort(bacteria_log10_per_mL=0.0)
    dead = replace(live, alpha_exponent=one(0.0), dextrinase_exponent=one(0.0))
    assert set(OF_SUGAR) <= set(vars(live))
    return float(wash(dead, backs).abv_pct[-1, 0] / wash(live, backs).abv_pct[-1, 0])
