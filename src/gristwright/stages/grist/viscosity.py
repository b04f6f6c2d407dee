"""Is there room for the head of a foaming rye mash? See docs/boards.md."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from gristwright.basics import Draws, FloatArray, Light
from gristwright.numerics.runs import Runs
from gristwright.records.remedies import Alteration, sentence_of
from gristwright.records.results import Board, Figure
from gristwright.stages.grist.bed import Laid
from gristwright.stages.grist.bed_board import Judged
from gristwright.stages.grist.bed_remedies import LESS, POINTS, more_malt
from gristwright.stages.grist.board_floors import at, floor, light_of, sticky_share, sticky_words
from gristwright.stages.grist.offered import WayTried, least_that_helps, offered

HOUSE = "input.plant"


def headspace_wanted(rye_share: float, draws: Draws) -> FloatArray:
    """Share of the washback to leave empty, (members,): from that of barley malt up to that of rye at the flag."""
    plain = at("plain_headspace")
    return np.asarray(plain + (draws["grist.rye_headspace"] - plain) * min(1.0, rye_share / at("rye_flag")))


@dataclass(frozen=True)
class Foaming:
    """A rye mash in its washback: `room` gives the empty share (0 to 1) of a mash of so many kilograms."""

    laid: Laid
    kg_per_mash: float
    room: Callable[[float], float]
    runs: Runs
    draws: Draws
    lots: Sequence[str] = ()

    @property
    def rye_share(self) -> float:
        """Share of grain that foams, 0 to 1."""
        return float(sticky_share(self.laid.shares, self.laid.materials))

    def spare(self, rye_share: float, kg: float) -> FloatArray:
        """Empty share beyond what is wanted, (members,)."""
        return np.asarray(self.room(kg) - headspace_wanted(rye_share, self.draws))

    def judged(self, rye_share: float, kg: float) -> Judged:
        """How it stands; the figure is the headspace to spare [%]."""
        spare = self.spare(rye_share, kg)
        probability = self.runs.chance(spare < 0.0)
        light = light_of(probability, rye_share <= at("rye_flag"))
        return Judged(light, probability, 100.0 * self.runs.band(spare).middle)


def foam_board(foaming: Foaming, pots: bool = True) -> Board | None:
    """Foam of a rye bill; None without rye. `pots` says whether the wash is heated in a pot still."""
    share, kg, runs = foaming.rye_share, foaming.kg_per_mash, foaming.runs
    if share <= 0.0:
        return None
    judged, flagged = foaming.judged(share, kg), share > at("rye_flag")
    remedies = () if judged.light is Light.GREEN else offered(judged, ways(foaming), "% to spare", 0)
    wanted = runs.band(100.0 * headspace_wanted(share, foaming.draws))
    spare = 100.0 * foaming.spare(share, kg)
    return Board(
        key="foam",
        title="Viscosity and foam",
        light=judged.light,
        probability_red=judged.probability_red,
        figure=Figure.of("headspace_spare_pct", "headspace to spare", "%", spare, 0, runs, HOUSE),
        sentence=f"{100.0 * share:.0f} % {sticky_words()} wants {wanted.low:.0f}-{wanted.high:.0f} % of the "
        f"washback for its head and leaves {100.0 * foaming.room(kg):.0f} %.{_flag(flagged, pots)}",
        remedy="" if judged.light is Light.GREEN else f"{sentence_of(remedies)} {_careful(flagged, pots)}".strip(),
        standing=floor("rye_flag").standing,
        source=f"headspace from memory; {floor('rye_flag').source}",
        remedies=remedies,
    )


def ways(foaming: Foaming) -> Iterator[WayTried]:
    """Less in the washback, or less of what foams, each tried."""
    now = foaming.judged(foaming.rye_share, foaming.kg_per_mash)
    yield from least_that_helps(now, _less(foaming))
    yield from least_that_helps(now, _malt(foaming))


def _less(foaming: Foaming) -> Iterator[WayTried]:
    for part in LESS:
        kg = float(round(foaming.kg_per_mash * part))
        words = f"fill the washbacks less: mash {kg:g} kg at a time, not {foaming.kg_per_mash:g}"
        change = Alteration(plant=(("mash.kg_per_mash", kg),))
        yield WayTried("fill_less", words, change, foaming.judged(foaming.rye_share, kg))


def _malt(foaming: Foaming) -> Iterator[WayTried]:
    for points in POINTS if foaming.lots else ():
        moved = more_malt(foaming.laid, foaming.lots, points)
        if moved is not None:
            laid, change, lot = moved
            share = float(sticky_share(laid.shares, laid.materials))
            words = f"take {points:g} points more of {lot} and less {sticky_words()}"
            yield WayTried("less_rye", words, Alteration(bill=change), foaming.judged(share, foaming.kg_per_mash))


def _flag(flagged: bool, pots: bool) -> str:
    foams = " and the wash foams in the still" if pots else ""
    return f" Above {100.0 * at('rye_flag'):.0f} % the mash is thick{foams}." if flagged else ""


def _careful(flagged: bool, pots: bool) -> str:
    """What is to be minded of a thick foaming mash; it moves no light."""
    if not flagged:
        return ""
    heat = "Heat the still through 89.5-98.2 degC with at most 200 W for a litre of charge. " if pots else ""
    return f"{heat}Enzymes against pentosan and antifoam only where the category allows them."
