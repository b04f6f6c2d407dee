"""Could the malt's glycosidic nitrile bring too much ethyl carbamate? An upper bound. See docs/boards.md."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

import numpy as np

from gristwright.basics import Band, FloatArray, Light
from gristwright.numerics.runs import Runs
from gristwright.records.lot import Material
from gristwright.records.results import Board, Figure
from gristwright.reference import csv_rows
from gristwright.stages.grist.board_floors import at, floor, light_of

N = TypeVar("N", float, FloatArray)

# Molar masses: epiheterodendrin C11H19NO6, hydrogen cyanide, ethyl carbamate C3H7NO2.
GLYCOSIDE_G_PER_MOL, HCN_G_PER_MOL, CARBAMATE_G_PER_MOL = 261.27, 27.03, 89.09
BOTTLED_ABV_PCT = 40.0
LABEL = "most ethyl carbamate at 40 %vol"
# What the litres rest on that is not drawn.
GIVEN = ("constant.psy_factor", "input.plant")


def as_glycoside_g_per_t(value: N, basis: str) -> N:
    """Glycosidic nitrile as epiheterodendrin [g/t]; `basis` is "glycoside" or "HCN" as the laboratory reports it.

    Raises ValueError for another basis.
    """
    if basis not in ("glycoside", "HCN"):
        raise ValueError(f"basis {basis!r} is neither glycoside nor HCN")
    return value * (GLYCOSIDE_G_PER_MOL / HCN_G_PER_MOL if basis == "HCN" else 1.0)


def carbamate_bound_ug_per_L(nitrile_g_per_t: N, lpa_per_t: N, abv_pct: float = BOTTLED_ABV_PCT) -> N:
    """Ethyl carbamate [ug/L at `abv_pct`] if every molecule of the glycoside became one: stoichiometry, upper bound."""
    carbamate_ug_per_t = nitrile_g_per_t * (1e6 * CARBAMATE_G_PER_MOL / GLYCOSIDE_G_PER_MOL)
    return carbamate_ug_per_t / lpa_per_t * (abv_pct / 100.0)


def markets() -> tuple[dict[str, str], ...]:
    """Limits and targets of ethyl carbamate by market, the lowest first."""
    return tuple(sorted(csv_rows("tables/ethyl_carbamate.csv"), key=lambda row: float(row["limit_ug_per_L"])))


def nitrile_board(
    shares: FloatArray,
    names: Sequence[str],
    materials: Sequence[Material],
    nitrile_g_per_t: FloatArray,
    lpa_per_t: FloatArray,
    runs: Runs,
) -> Board:
    """The bill's nitrile against the bands of malt, its bound on ethyl carbamate against the markets.

    `shares` (lots,), `nitrile_g_per_t` as glycoside (members, lots) with NaN where no certificate gives it, `lpa_per_t`
    (members,). Unmalted grain counts as none. A value that is not on a certificate makes the board unknown, which is
    not a fail: its probability is zero.
    """
    malted = np.array([material.malted for material in materials])
    values = np.where(malted, nitrile_g_per_t, 0.0)
    missing = [name for k, name in enumerate(names) if shares[k] > 0.0 and bool(np.isnan(values[:, k]).any())]
    blend = np.asarray((shares * np.nan_to_num(values)).sum(axis=-1))
    bound = np.asarray(carbamate_bound_ug_per_L(blend, lpa_per_t))
    probability = runs.chance(blend > at("nitrile_high_g_per_t"))
    band = runs.band(bound)
    light = light_of(probability, band.high <= float(markets()[0]["limit_ug_per_L"]))
    if missing and light is not Light.RED:
        light, probability = Light.UNKNOWN, 0.0
    return Board(
        key="nitrile",
        title="Ethyl carbamate from the malt",
        light=light,
        probability_red=probability,
        figure=Figure.of("carbamate_bound_ug_per_L", LABEL, "ug/L", bound, 0, runs, *GIVEN),
        sentence=_sentence(band, runs.band(blend).middle, missing),
        remedy="" if light is Light.GREEN else _remedy(missing),
        standing="derived",
        source=f"stoichiometry; {floor('nitrile_high_g_per_t').source}; {markets()[0]['source']}",
    )


def _sentence(bound: Band, blend_g_per_t: float, missing: Sequence[str]) -> str:
    against = ", ".join(f"{row['limit_ug_per_L']} in {row['market']} ({row['kind']})" for row in markets()[:2])
    rest = " from the lots that state it" if missing else ""
    if missing and blend_g_per_t == 0.0:
        return f"Glycosidic nitrile is not on the certificate of {', '.join(missing)}; the spirit is held to {against}."
    text = (
        f"{blend_g_per_t:.2g} g/t of glycosidic nitrile{rest} could give at most {bound.middle:.0f} ug/L at 40 %vol; "
        f"against {against}. Upper bound, real conversion lower."
    )
    return f"Glycosidic nitrile is not on the certificate of {', '.join(missing)}. {text}" if missing else text


def _remedy(missing: Sequence[str]) -> str:
    if missing:
        return "Ask the laboratory for it, and whether it counts as glycoside or as HCN (9.7 times as much)."
    return (
        "Take malt of a variety that forms none; keep copper clean and watch the cuts; measure ethyl carbamate in the "
        "spirit."
    )
