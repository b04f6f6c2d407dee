"""The litres ledger: where each litre of pure alcohol per tonne goes, one run that adds up and bands beside it."""

from __future__ import annotations

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.casework.bench.bench import Bench, SpiritBench
from gristwright.casework.bench.grounds import HOUSE, PSY
from gristwright.flowsheet.line import NewMake
from gristwright.records.bill import Bill
from gristwright.records.cask import MaturedCask
from gristwright.records.results import Ledger, LedgerRow
from gristwright.records.streams import Bottled
from gristwright.stages.grist import model as grist

# key, words, kind, the last stage it rests on
LINES = (
    ("carbohydrate", "sugar and dextrin the laboratory finds in the grist", "start", "grist"),
    ("dextrin", "dextrins and caramelised sugar yeast cannot take", "loss", "grist"),
    ("by_products", "yeast growth, glycerol and acids of the malt", "loss", "grist"),
    ("raw_grain", "raw grain: not converted, not fermented, by-products", "loss", "grist"),
    ("psy", "predicted spirit yield", "level", "grist"),
    ("unconverted", "mash: starch left unconverted", "loss", "mash"),
    ("mash_dextrin", "mash: dextrins beyond the laboratory's", "loss", "mash"),
    ("draff", "extract left in the draff and run to waste", "loss", "mash"),
    ("washback", "washback: short of the prediction", "loss", "wash"),
    ("pot_ale", "pot ale", "loss", "still"),
    ("stillage", "whole stillage", "loss", "still"),
    ("spent_lees", "spent lees", "loss", "still"),
    ("still_house", "still house: vapour, drains, heels", "loss", "still"),
    ("new_spirit", "new spirit filled", "level", "still"),
    ("evaporation", "evaporated from the cask", "loss", "cask"),
    ("wood", "left in the wood", "loss", "cask"),
    ("bottling", "emptying, filtering and filling", "loss", "bottle"),
    ("bottle", "in the bottle", "level", "bottle"),
)

# Stages that a bench without a cask does not reach.
IN_WOOD = ("cask", "bottle")


def values(made: NewMake, matured: MaturedCask, bottled: Bottled, draws: Draws) -> dict[str, FloatArray]:
    """Every line of the ledger [L/t], each from its own stage; shape (members,)."""
    filled = made.spirit.lpa_per_t / matured.filled_lpa_L
    return {
        **spirit_values(made, draws),
        "evaporation": filled * matured.evaporated_lpa_L,
        "wood": filled * matured.left_in_wood_lpa_L,
        "bottling": bottled.lost_lpa_per_t,
        "bottle": bottled.lpa_per_t,
    }


def spirit_values(made: NewMake, draws: Draws) -> dict[str, FloatArray]:
    """The lines from the grain to new spirit."""
    return {
        "carbohydrate": made.grist.theory_lpa_per_t,
        "dextrin": grist.dextrin_lpa_per_t(made.grist, draws),
        "by_products": grist.by_product_lpa_per_t(made.grist),
        "raw_grain": made.grist.raw_lost_lpa_per_t,
        "psy": made.grist.psy_lpa_per_t,
        "unconverted": made.wort.unconverted_lpa_per_t,
        "mash_dextrin": made.wort.dextrin_lpa_per_t,
        "draff": made.wort.lost_lpa_per_t,
        "washback": made.wash.lost_lpa_per_t,
        "pot_ale": made.spirit.pot_ale_lpa_per_t,
        "stillage": made.spirit.pot_ale_lpa_per_t,
        "spent_lees": made.spirit.spent_lees_lpa_per_t,
        "still_house": made.spirit.handling_lpa_per_t,
        "new_spirit": made.spirit.lpa_per_t,
    }


def lines_of(bench: SpiritBench, bill: Bill, mashed: bool) -> tuple[tuple[str, str, str, str], ...]:
    """The lines that this house and bill can have; those of the mash only where one was simulated."""
    raw = any(b.material.raw and bill.parts_of(b.lot.lot_id) for b in bench.lots)
    column, grain_in = bench.plant.column is not None, bench.plant.grain_in
    absent = {
        "raw_grain": not raw,
        "unconverted": not mashed,
        "mash_dextrin": not mashed,
        "draff": grain_in,
        "pot_ale": column,
        "stillage": not column,
        "spent_lees": column,
    }
    filled = isinstance(bench, Bench) and bench.lain is not None
    return tuple(line for line in LINES if not absent.get(line[0], False) and (filled or line[3] not in IN_WOOD))


def closure(lines: dict[str, FloatArray]) -> float:
    """Largest relative error between a level and what was left of the level above it; NaN members are left out."""
    worst = 0.0
    left = lines["carbohydrate"].copy()
    for key, _, kind, _ in LINES[1:]:
        if key == "stillage" or key not in lines:  # the same litres as pot ale, under the column's name; no cask
            continue
        if kind == "loss":
            left = left - lines[key]
        else:
            worst = max(worst, float(np.nanmax(np.abs(left / lines[key] - 1.0))))
            left = lines[key].copy()
    return worst


def ledger(bench: SpiritBench, bill: Bill, made: NewMake, made_middle: NewMake) -> Ledger:
    """The ledger of one bill; the reference run is the bench's middles."""
    on_draws, reference = spirit_values(made, bench.draws), spirit_values(made_middle, bench.middles)
    if isinstance(bench, Bench) and bench.lain is not None:
        on_draws = values(made, bench.matured, bench.bottled(made), bench.draws)
        reference = values(made_middle, bench.matured_middle, bench.bottled_middle(made_middle), bench.middles)
    rows = tuple(
        LedgerRow(
            key,
            words,
            kind,
            float(reference[key][0]),
            bench.runs.band(on_draws[key]),
            (*bench.runs.rests_on(on_draws[key]), *_given(key, stage)),
        )
        for key, words, kind, stage in lines_of(bench, bill, made.wort.starch_left_pct is not None)
    )
    return Ledger(rows, max(closure(on_draws), closure(reference)))


def _given(key: str, stage: str) -> tuple[str, ...]:
    """What a line rests on that is not drawn."""
    theory = ("constant.sugar_theory", "constant.starch_theory") if key in ("carbohydrate", "dextrin") else ()
    house = (HOUSE,) if stage != "grist" else ()
    return (*theory, *(() if theory else (PSY,)), *house, *(("input.cask",) if stage in IN_WOOD else ()))
