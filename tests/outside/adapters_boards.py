"""Calls of the boards of the grist that give one number for one row of boards.csv."""

from __future__ import annotations

import numpy as np

from gristwright.basics import Light
from gristwright.numerics.draws import middles
from gristwright.numerics.runs import Runs
from gristwright.records.lot import Material
from gristwright.records.plant import MashPlan
from gristwright.records.streams import Grist
from gristwright.reference.load import priors
from gristwright.stages.grist import gelatinisation, nitrile, nitrogen
from gristwright.stages.grist.bed import Laid, run_off
from gristwright.stages.grist.bed_board import bed_board
from gristwright.stages.grist.boards import enzyme_board
from gristwright.stages.grist.materials import materials

ONE = np.array([1.0])
STEPS = {Light.GREEN: 0.0, Light.AMBER: 1.0, Light.RED: 2.0}
DRAWS = middles(priors("grist"))


def _grist(power: float, units: float) -> Grist:
    rest = dict.fromkeys(Grist.__dataclass_fields__, np.zeros(1))
    return Grist(**rest | {"diastatic_power_degLintner": ONE * power, "dextrinising_units": ONE * units})


def _lots(shares: dict[str, float]) -> tuple[np.ndarray, list[Material]]:
    return np.array(list(shares.values())), [materials()[key] for key in shares]


def _usual(shares: dict[str, float], field: str) -> float:
    parts, lots = _lots(shares)
    return float(sum(part * lot.typical[field].middle for part, lot in zip(parts, lots, strict=True)))


def converts(degLintner: float, dextrinising_units: float, cooked: bool, hours: float = 60.0) -> float:
    """1 when the enzyme board is not red."""
    board = enzyme_board(_grist(degLintner, dextrinising_units), Runs(ONE), cooked, False, hours)
    return float(board.light is not Light.RED)


def converts_readily(degLintner: float, dextrinising_units: float, cooked: bool) -> float:
    """1 when the enzyme board is green."""
    board = enzyme_board(_grist(degLintner, dextrinising_units), Runs(ONE), cooked, False, 60.0)
    return float(board.light is Light.GREEN)


def bill_converts(shares: dict[str, float], cooked: bool, hours: float = 60.0) -> float:
    """1 when a bill of usual lots is not red on the enzyme board."""
    power, units = _usual(shares, "diastatic_power"), _usual(shares, "dextrinising_units")
    return converts(power, units, cooked, hours)


def share_for_power(wanted_degLintner: float, malt_degLintner: float) -> float:
    """Per cent of a malt among grain without enzyme that gives the wanted diastatic power."""
    return 100.0 * wanted_degLintner / malt_degLintner


def gelatinised(key: str, settled_mash_degC: float, cook_degC: float | None = None) -> float:
    """1 when the middle lot of a type is hot enough in thin mash."""
    margin = gelatinisation.margin_degC(materials()[key], settled_mash_degC, cook_degC, 12.0 * ONE, DRAWS)
    assert margin is not None
    return float(margin[0] >= 0.0)


def gelatinisation_shift_degC(weak_g_per_100g: float, strong_g_per_100g: float) -> float:
    """Rise of the gelatinisation temperature of malted barley between two strengths of wort."""
    found = gelatinisation.gelatinisation_range(materials()["base_malt"])
    assert found is not None
    strong, weak = (gelatinisation.complete_degC(found, g * ONE, DRAWS) for g in (strong_g_per_100g, weak_g_per_100g))
    return float((strong - weak)[0])


def nitrogen_step(fan_mg_per_L: float, degP: float = 12.0) -> float:
    """0 green, 1 watch, 2 red on the nitrogen board."""
    return STEPS[nitrogen.nitrogen_board(fan_mg_per_L * ONE, degP * ONE, Runs(ONE), 0.0).light]


def fan_ratio(shares: dict[str, float], against: dict[str, float]) -> float:
    """Amino nitrogen of one bill of usual lots over that of another."""
    return _usual(shares, "fan_mg_per_100g") / _usual(against, "fan_mg_per_100g")


def carbamate_bound(nitrile_g_per_t: float, lpa_per_t: float) -> float:
    """Upper bound of ethyl carbamate [ug/L at 40 %vol]."""
    return float(nitrile.carbamate_bound_ug_per_L(nitrile_g_per_t, lpa_per_t))


def run_off_step(shares: dict[str, float]) -> float:
    """0 green, 1 watch, 2 red on the run-off board of a tun at the reference load."""
    parts, lots = _lots(shares)
    glucan = np.array([[lot.typical["beta_glucan_mg_per_L"].middle for lot in lots]])
    plan = MashPlan(kg_per_mash=2000.0, wort_L_per_t=5000.0, plate_area_m2=10.0)
    laid = Laid(parts, lots, glucan)
    return STEPS[bed_board(run_off(laid, plan, DRAWS), laid, plan, Runs(ONE), DRAWS).light]


def typical(key: str, field: str, end: str) -> float:
    """One end of what a type usually shows."""
    return float(getattr(materials()[key].typical[field], end))


def inside(key: str, field: str, value: float) -> float:
    """1 when a value is accepted for a type without a remark."""
    known = materials()[key].typical[field]
    return float(known.warn_low <= value <= known.warn_high)
