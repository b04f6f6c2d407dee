"""The mash models by name, and the default. See docs/mash_simulation.md."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

from gristwright.basics import Draws, Problem
from gristwright.records.mash import MODEL, MaltEnzymes, MashCourse, MashGrain, MashProgramme
from gristwright.stages.mash.engineering import Engineering
from gristwright.stages.mash.limits_simulation import grain_problems, programme_problems
from gristwright.stages.mash.published import Published, published_problems
from gristwright.stages.mash.simulation import RECORD_MIN, TunModel
from gristwright.stages.mash.temperature import STEP_S
from gristwright.stages.mash.two_granules import TwoGranules

__all__ = ["MODEL", "MODELS", "MashModel", "simulate"]


class MashModel(Protocol):
    """A named model of a mash. What it lacks is None in its courses."""

    @property
    def name(self) -> str:
        """What a plan calls it."""

    @property
    def words(self) -> str:
        """What it is, in a line."""

    @property
    def source(self) -> str:
        """Where it is from."""

    def limits(self, programme: MashProgramme, grains: Sequence[MashGrain]) -> list[Problem]:
        """Every fault of a programme and a grist for this model, warnings with them."""

    def simulate(
        self,
        programme: MashProgramme,
        grains: Sequence[MashGrain],
        enzymes: Mapping[str, MaltEnzymes],
        draws: Draws,
        step_s: float = STEP_S,
        record_min: float | None = RECORD_MIN,
    ) -> MashCourse:
        """One mash for every draw. Raises Refused for a programme or grist that cannot be."""


def _any(programme: MashProgramme, grains: Sequence[MashGrain]) -> list[Problem]:
    return [*programme_problems(programme, grains), *grain_problems(grains)]


def _published(programme: MashProgramme, grains: Sequence[MashGrain]) -> list[Problem]:
    return [*_any(programme, grains), *published_problems(programme, grains)]


_ALL = (
    TunModel(
        "two_granules",
        "large and small granules, chains and limit dextrin, enzymes that fall short",
        "our own, fitted to published mashes (docs/mash_simulation.md)",
        TwoGranules,
        _any,
    ),
    TunModel(
        "engineering",
        "the published kinetics with what a mash needs beside",
        "Brandam et al. 2003, Biochem. Eng. J. 13:43, widened by us",
        Engineering,
        _any,
    ),
    TunModel(
        "brandam2003",
        "the published kinetics, barley malt and maize alone",
        "Brandam, Meyer, Proth, Strehaiano & Pingaud 2003, Biochem. Eng. J. 13:43-52",
        Published,
        _published,
    ),
)
MODELS: dict[str, MashModel] = {model.name: model for model in _ALL}


def simulate(
    programme: MashProgramme,
    grains: Sequence[MashGrain],
    lots: Mapping[str, MaltEnzymes],
    draws: Draws,
    step_s: float = STEP_S,
    record_min: float | None = RECORD_MIN,
) -> MashCourse:
    """One mash for every draw by the model that the programme names; arguments and result as `MashModel.simulate`."""
    return MODELS[programme.model].simulate(programme, grains, lots, draws, step_s, record_min)
