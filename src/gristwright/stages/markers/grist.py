"""What a grist holds of each marker: its lots by their shares, each with its own content. See docs/give_and_gain.md."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

import numpy as np

from gristwright.basics import FloatArray, Prior, Source, Standing
from gristwright.numerics.draws import sample
from gristwright.reference.load import csv_rows
from gristwright.stages.markers import smoke as smoke_split
from gristwright.stages.markers.rows import IN_STORE, PALE, TOTAL, Row, chains
from gristwright.stages.markers.smoke import Content

SMOKED = "smoked"
# Steps that can bring some of a marker anew.
CAN_GROW = ("wash", "cask_year")
CARAMEL_OR_ROAST = frozenset(("caramel", "roast"))


@dataclass(frozen=True)
class MarkerSource:
    """A malt or grain as it goes into the grist: how it was made, its share [0..1], what is known of its content."""

    name: str
    processes: frozenset[str]
    share: float = 1.0
    malt_mg_per_kg: Mapping[str, float] = field(default_factory=dict)
    smoke: str = ""
    store_months: float = 0.0  # from its analysis to the mash


@dataclass(frozen=True)
class Held:
    """What a grist holds of a marker: mg/kg of what `share` of it is, before its store and as it is mashed."""

    content: Content
    mashed: FloatArray  # mg/kg, (members,)
    share: float
    parts: tuple[str, ...]
    stored: bool


@cache
def steps(marker: str) -> dict[str, Prior]:
    """The marker's steps as priors. Content and shares are lognormal; a share never passes more than there was, but
    where yeast or wood can add some."""
    by_step = {}
    for row in csv_rows("tables/marker_steps.csv"):
        if row["marker"] == marker:
            middle, factor = float(row["middle"]), float(row["factor"])
            grows = max(1.0, middle * factor) if row["step"] in CAN_GROW else 1.0
            high = 1e6 if row["step"].startswith("malt") else grows + 1e-6
            source = Source(row["source"], Standing(row["standing"]))
            name = f"marker.{marker}.{row['step']}"
            by_step[row["step"]] = Prior(
                name, row["step"], row["unit"], "lognormal", (middle, factor), 0.0, high, source
            )
    return by_step


@cache
def drawn_steps(marker: str, members: int, seed: int) -> dict[str, FloatArray]:
    """Every step of a marker drawn, (members,) each."""
    priors = steps(marker)
    columns = sample(priors.values(), members, seed)
    return {name: columns[prior.name] for name, prior in priors.items()}


def holdings(parts: Sequence[MarkerSource], members: int, seed: int, *, whole: bool) -> dict[str, Held]:
    """What the grist holds of every marker but the total of a smoke, by marker.

    As mg/kg of the whole grist; not `whole`, of one part alone: as mg/kg of that malt.
    """
    smokes = [smoke_split.contents(p.smoke, p.malt_mg_per_kg, members, seed) if smoked(p) else {} for p in parts]
    by_marker = {}
    for row in chains():
        lots = list(_contents(row, parts, smokes, members, seed)) if row["marker"] != TOTAL else []
        if lots:
            of = _of_grist(row["marker"], lots, members, seed) if whole else _alone(row, *lots[0], members, seed)
            by_marker[row["marker"]] = of
    return by_marker


def smoked(part: MarkerSource) -> bool:
    """Whether its smoke is followed."""
    return SMOKED in part.processes


def brings(row: Row, part: MarkerSource) -> bool:
    """Whether a part brings a marker."""
    return bool(set(row["processes"].split("|")) & part.processes)


def _contents(
    row: Row, parts: Sequence[MarkerSource], smokes: Sequence[Mapping[str, Content]], members: int, seed: int
) -> Iterator[tuple[MarkerSource, Content]]:
    """Each part that brings the marker with its content; lots of one kind are taken to hold alike."""
    for part, smoke in zip(parts, smokes, strict=True):
        if not brings(row, part):
            continue
        if row["part_of"]:
            if row["marker"] in smoke:
                yield part, smoke[row["marker"]]
            continue
        name = "malt_pale" if PALE in part.processes and not CARAMEL_OR_ROAST & part.processes else "malt"
        prior = steps(row["marker"]).get(name) or steps(row["marker"])["malt"]
        drawn = drawn_steps(row["marker"], members, seed)[prior.meaning]
        yield part, _content(prior, drawn, part.malt_mg_per_kg.get(row["marker"]))


def _content(prior: Prior, drawn: FloatArray, given: float | None) -> Content:
    if given is not None:
        return Content(np.full_like(drawn, given), given, smoke_split.GIVEN)
    return Content(drawn, float(np.median(drawn)), prior.source)


def _kept(marker: str, months: float, members: int, seed: int) -> FloatArray | float:
    drawn = drawn_steps(marker, members, seed)
    return drawn[IN_STORE] ** months if months and IN_STORE in drawn else 1.0


def _alone(row: Row, part: MarkerSource, content: Content, members: int, seed: int) -> Held:
    kept = _kept(row["marker"], part.store_months, members, seed)
    stored = bool(part.store_months) and IN_STORE in steps(row["marker"])
    return Held(content, content.drawn * kept, part.share, (part.name,), stored)


def _of_grist(marker: str, lots: Sequence[tuple[MarkerSource, Content]], members: int, seed: int) -> Held:
    """The parts together, mg/kg of the whole grist; the weakest of what they rest on speaks for it."""
    before = np.sum([part.share * content.drawn for part, content in lots], axis=0)
    mashed = np.sum(
        [part.share * content.drawn * _kept(marker, part.store_months, members, seed) for part, content in lots], axis=0
    )
    middle = sum(part.share * content.middle for part, content in lots)
    sources = list(dict.fromkeys(content.source for _, content in lots))
    source = Source("; ".join(one.text for one in sources), weakest(one.standing for one in sources))
    stored = IN_STORE in steps(marker) and any(part.store_months for part, _ in lots)
    return Held(Content(before, middle, source), mashed, 1.0, tuple(part.name for part, _ in lots), stored)


# From what says least to what says most.
WEAKEST_FIRST = (
    Standing.ESTIMATE, Standing.INVENTED, Standing.FROM_MEMORY, Standing.COMMON_PRACTICE, Standing.DERIVED,
    Standing.PUBLISHED, Standing.MEASURED,
)  # fmt: skip


def weakest(standings: Iterator[Standing] | Sequence[Standing]) -> Standing:
    """The standing that says least."""
    return min(standings, key=WEAKEST_FIRST.index)
