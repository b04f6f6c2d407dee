"""Is there room for a thick, foaming rye mash? See docs/boards.md."""

from __future__ import annotations

import numpy as np

from gristwright.basics import Draws, FloatArray, Light
from gristwright.numerics.weights import band
from gristwright.records.results import Board, Figure
from gristwright.stages.grist.board_floors import AMBER_SHARE, at, floor, light_of, sticky_words

RESTS_ON = ("grist.rye_headspace",)
THIN_MASH_L_PER_KG = 4.0


def headspace_wanted(rye_share: float, draws: Draws) -> FloatArray:
    """Share of the washback to leave empty, (members,): from that of barley malt up to that of rye at the flag."""
    plain = at("plain_headspace")
    return np.asarray(plain + (draws["grist.rye_headspace"] - plain) * min(1.0, rye_share / at("rye_flag")))


def foam_board(
    rye_share: float,
    headspace: float,
    water_L_per_kg: float,
    weights: FloatArray,
    draws: Draws,
    rests_on: tuple[str, ...],
    pots: bool = True,
) -> Board | None:
    """Viscosity and foam of a rye bill; None without rye.

    `rye_share` malted and raw together, `headspace` empty share of the washback as filled, both 0 to 1;
    `water_L_per_kg` of wort or whole mash to grist, `pots` whether the wash is heated in a pot still.
    """
    if rye_share <= 0.0:
        return None
    spare = headspace - headspace_wanted(rye_share, draws)
    probability = float(np.sum(weights[spare < 0.0]))
    flagged = rye_share > at("rye_flag")
    light = light_of(probability, not flagged)
    grounds = (*rests_on, *RESTS_ON, "input.plant")
    wanted = band(100.0 * headspace_wanted(rye_share, draws), weights)
    return Board(
        key="foam",
        title="Viscosity and foam",
        light=light,
        probability_red=probability,
        figure=Figure("headspace_spare_pct", "headspace to spare", "%", band(100.0 * spare, weights), 0, grounds),
        sentence=f"{100.0 * rye_share:.0f} % {sticky_words()} wants {wanted.low:.0f}-{wanted.high:.0f} % of the "
        f"washback for its head and leaves {100.0 * headspace:.0f} %.{_flag(flagged, pots)}",
        remedy="" if light is Light.GREEN else _remedy(flagged, probability > AMBER_SHARE, water_L_per_kg, pots),
        standing=floor("rye_flag").standing,
        source=f"headspace from memory; {floor('rye_flag').source}",
    )


def _flag(flagged: bool, pots: bool) -> str:
    foams = " and the wash foams in the still" if pots else ""
    return f" Above {100.0 * at('rye_flag'):.0f} % the mash is thick{foams}." if flagged else ""


def _remedy(flagged: bool, tight: bool, water_L_per_kg: float, pots: bool) -> str:
    lines = [f"Fill the washbacks less, or take less {sticky_words()}."] if tight or not flagged else []
    if flagged and pots:
        lines.append("Heat the still through 89.5-98.2 degC with at most 200 W for a litre of charge.")
    if flagged:
        lines.append("Enzymes against pentosan and antifoam only where the category allows them.")
    if flagged and water_L_per_kg < THIN_MASH_L_PER_KG:
        lines.append("Mash thinner, 4-4.5 L/kg (from memory).")
    return " ".join(lines)
