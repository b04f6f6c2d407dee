"""Beta-glucan of a wort, and whether a beer of it filters: an estimate of ours. See docs/boards.md."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from gristwright.basics import Draws, FloatArray, Light
from gristwright.numerics.runs import Runs
from gristwright.quantities.gravity import sg_from_degP
from gristwright.quantities.shown import either, interval, plain
from gristwright.records.plant import Rest
from gristwright.records.results import Board, Figure
from gristwright.stages.grist.board_floors import at, floor, light_of, rest_min

# Laboratory (Congress) wort, in which certificates state beta-glucan, holds about 8.6 degP.
LABORATORY_DEGP = 8.6
HOUSE = "input.plant"


def wort_beta_glucan_mg_per_L(
    shares: FloatArray, laboratory_mg_per_L: FloatArray, wort_degP: FloatArray, rests: Sequence[Rest], draws: Draws
) -> FloatArray:
    """Beta-glucan of a wort of `wort_degP` [mg/L], (members,), from all grain by mass.

    `shares` (lots,), `laboratory_mg_per_L` of laboratory wort (members, lots). It grows with the strength of the wort,
    and by what a mash leaves that has no rest in which the malt breaks it down, as the laboratory's has.
    """
    laboratory = (shares * laboratory_mg_per_L).sum(axis=-1)
    strength = _g_per_L(wort_degP) / _g_per_L(np.array(LABORATORY_DEGP))
    return np.asarray(laboratory * strength * draws["grist.beta_glucan_infusion"] ** (1.0 - _of_the_rest(rests)))


def _of_the_rest(rests: Sequence[Rest]) -> float:
    """The part, 0 to 1, of the rest of the laboratory's mash that a mash has."""
    stands = rest_min(rests, at("glucan_rest_low_degC"), at("glucan_rest_high_degC"))
    return min(stands / at("glucan_rest_min"), 1.0)


def rested(rests: Sequence[Rest]) -> bool:
    """Whether a mash rests as long as counts where malt breaks beta-glucan down."""
    return _of_the_rest(rests) >= 1.0


def _g_per_L(degP: FloatArray) -> FloatArray:
    """Extract in proportion to grams a litre."""
    return np.asarray(degP * sg_from_degP(degP))


def filtration_board(beta_glucan_mg_per_L: FloatArray, runs: Runs, raw: bool, has_rest: bool) -> Board:
    """Beta-glucan of the wort against what a beer's filter is planned for; (members,).

    `raw` says whether the bill holds raw grain, `has_rest` whether the mash rests where malt breaks beta-glucan down.
    """
    watch, red = at("glucan_watch_mg_per_L"), at("glucan_red_mg_per_L")
    probability = runs.chance(beta_glucan_mg_per_L > red)
    figure = Figure.of(
        "wort_beta_glucan_mg_per_L", "beta-glucan of the wort", "mg/L", beta_glucan_mg_per_L, 0, runs, HOUSE
    )
    light = light_of(probability, figure.band.middle <= watch)
    return Board(
        key="filtration",
        title="Filtration of the beer",
        light=light,
        probability_red=probability,
        figure=figure,
        sentence=f"{plain(figure.band.middle, 0)} mg/L ({interval(figure.band, 0)}) of beta-glucan in the wort, an "
        f"estimate; from {watch:.0f} a filter may be slow, over {red:.0f} none is planned for it. Pentosan is not "
        "counted, and a beer that is not filtered need not mind.",
        remedy="" if light is Light.GREEN else _remedy(raw, has_rest),
        standing="estimate",
        source=f"{floor('glucan_watch_mg_per_L').source}; beta-glucan hinders a filter by its concentration and "
        "size, arabinoxylan more: Sadosky, Schwarz & Horsley 2002, J. Am. Soc. Brew. Chem. 60:153-162 (abstract read; "
        "authors and pages from memory)",
    )


def _remedy(raw: bool, has_rest: bool) -> str:
    rest = f"rest {at('glucan_rest_min'):.0f} min at 40-48 degC before the mash is heated"
    lot = either("less raw grain" if raw else "", "a lot with less beta-glucan")
    return (
        f"{lot.removesuffix('.')}; {'' if has_rest else rest + '; '}enzymes against it only where your law allows them."
    )
