"""Which figures are not given because the mash may not make them: decided here for every edge. See docs/casework.md.

The litres of a bill fall smoothly as enzyme falls short. They are not said where most of the starch stays starch, for
no balance was ever seen there, or where the mash never runs off.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from gristwright.basics import Band, FloatArray, Light
from gristwright.numerics.runs import Runs
from gristwright.quantities.shown import digits_apart, interval, plain
from gristwright.records.results import Board, Figure, Withheld
from gristwright.records.streams import RunOff, Wash
from gristwright.stages.grist.bed_board import never_of
from gristwright.stages.mash.limits_simulation import MOST_LEFT_PCT
from gristwright.stages.still.limits import LEAST_WASH_ABV_PCT, MOST_WASH_ABV_PCT

LITRES = "The litres and all that is worked out from them are withheld"
BEER = "Gravity, strength and all that is worked out from them are withheld"
# Boards that read the litres or what was made of the starch.
RESTING = ("dextrin", "gravity", "charge", "nitrile", "attenuation")


def withheld(
    starch_left_pct: FloatArray | None,
    runs: Runs,
    what: str = LITRES,
    ran: RunOff | None = None,
    wash: Wash | None = None,
) -> Withheld | None:
    """Why the figures of a bill are not given; None where they are.

    `starch_left_pct` (members,) is what stays starch, washback included, None where no mash was simulated; `ran` is its
    run-off, None where the whole mash goes on; a `wash` that the still's balance was not made for is no litres either.
    """
    reasons, said = [], []
    if starch_left_pct is not None:
        label = "starch left, washback included"
        figure = Figure.of("starch_left_pct", label, "% of the starch", starch_left_pct, 1, runs, "input.plant")
        left = figure.band
        if left.middle > MOST_LEFT_PCT:
            reasons.append(figure)
            said.append(
                f"{plain(left.middle, 1)} % ({interval(left, 1)}) of the starch stays starch, and over "
                f"{MOST_LEFT_PCT:g} % no balance was seen"
            )
    if ran is not None and never_of(ran, runs):
        never = 100.0 * runs.chance(ran.never)
        label = "runs in which the mash never runs off"
        grounds = (*runs.rests_on(ran.hours), "input.plant")
        reasons.append(Figure("never_runs_off_pct", label, "% of the runs", Band(never, never, never), 0, grounds))
        said.append(f"the mash never runs off in {never:.0f} % of the runs")
    outside = "" if wash is None or said else wash_out_of_balance(wash, runs)
    if wash is not None and outside:
        grounds = (*runs.rests_on(wash.abv_pct), "input.plant")
        reasons.append(Figure("wash_abv_pct", "wash strength", "%vol", runs.band(wash.abv_pct), 1, grounds))
        said.append(outside)
    because = "; ".join(said)
    return Withheld(f"{what}: {because}.", because, tuple(reasons)) if said else None


def wash_out_of_balance(wash: Wash, runs: Runs) -> str:
    """What is wrong with a wash that the still's balance was not made for, its middle; empty where it was."""
    middle = runs.band(wash.abv_pct).middle
    if LEAST_WASH_ABV_PCT <= middle <= MOST_WASH_ABV_PCT:
        return ""
    decimals = digits_apart(middle, LEAST_WASH_ABV_PCT, MOST_WASH_ABV_PCT, at_least=1)
    limits = f"{LEAST_WASH_ABV_PCT:g} to {MOST_WASH_ABV_PCT:g} %vol"
    return f"the wash has {plain(middle, decimals)} %vol, and the still's balance was made for {limits}"


def of_figures(why: Withheld, figures: Iterable[Figure]) -> Withheld:
    """The same with the names of the figures that are not given."""
    return replace(why, names=tuple((figure.key, figure.label, figure.unit) for figure in figures))


def first_of(*whys: Withheld | None) -> Withheld | None:
    """The first reason there is: what rests on several bills is withheld with any of them."""
    return next((why for why in whys if why is not None), None)


def unsaid(boards: Sequence[Board], why: Withheld | None) -> tuple[Board, ...]:
    """The boards of a bill; where its litres are withheld, those that read them say only that."""
    if why is None:
        return tuple(boards)
    return tuple(_unknown(board) if board.key in RESTING else board for board in boards)


def _unknown(board: Board) -> Board:
    sentence, remedy = "Not judged: it rests on figures that are withheld.", ""
    if board.key == "nitrile" and board.light is Light.RED:
        # What the malt itself holds is known, whatever it gives.
        sentence = "The malt holds more glycosidic nitrile than is let pass; the bound is withheld with the litres."
        return replace(board, figure=None, sentence=sentence)
    if board.key == "nitrile":
        remedy = board.remedy
    return replace(board, light=Light.UNKNOWN, probability_red=0.0, figure=None, sentence=sentence, remedy=remedy)
