"""Markers of caramel, roast and smoke from malt to cask, as a chain of graded shares. See docs/give_and_gain.md."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from gristwright.basics import Band, FloatArray, Prior, Source, Standing, refuse_if_any
from gristwright.numerics.draws import SEED
from gristwright.records.markers_through import MarkerChain, MarkerLab, MarkerStep
from gristwright.records.wash_besides import WashAmount
from gristwright.stages.markers import smoke as smoke_split
from gristwright.stages.markers.grist import Held, MarkerSource, drawn_steps, holdings, smoked, steps
from gristwright.stages.markers.limits import HouseFigures, limits, mass_share
from gristwright.stages.markers.of_wash import mg_per_t, source_of
from gristwright.stages.markers.rows import IN_STORE, SHARES, TOTAL, chains, cut_slopes
from gristwright.stages.markers.smoke import Content

MEMBERS = 2048
TITLES = {
    "malt": "in the malt",
    "grist": "in the grist",
    "store": "as mashed",
    "wort": "wort",
    "wash": "fermented wash",
    "spirit": "new spirit",
    "cask": "after the cask",
}
# Steps whose share stands under another name in the table.
NAMED = {"store": IN_STORE, "spirit": "hearts", "cask": "cask_year"}
PAIR = Source("the house's laboratory pair", Standing.MEASURED)
TINY = 1e-12
# One standard deviation of a house's own laboratory pair, as a factor: two analyses and the sampling of malt.
LAB_FACTOR = 1.2


@dataclass(frozen=True)
class _Way:
    """What is known of a marker before a house is asked: content, share of each step, share up to the spirit."""

    row: dict[str, str]
    held: Held
    drawn: dict[str, FloatArray]  # by step, (members,)
    known: FloatArray  # up to the spirit of hearts ending at 60 %vol
    typical: float
    lab: bool
    made: FloatArray | None = None  # mg in the wash of a tonne, where the wash says so itself
    made_source: Source | None = None


@dataclass(frozen=True)
class Through:
    """A marker in a house: mg a tonne of grist at every step, (members,), with what each step rests on."""

    content: Content
    amounts: dict[str, FloatArray]  # grist, store, wort, wash, spirit, cask; store is mg/kg of what the content is of
    sources: dict[str, Source]
    factor: FloatArray  # against the table's chain
    lab: bool
    parts: tuple[str, ...]  # that bring it


def follow_markers(
    processes: Collection[str],
    house: HouseFigures,
    malt_mg_per_kg: Mapping[str, float] | None = None,
    share_of_grist: float = 1.0,
    labs: Mapping[str, MarkerLab] | None = None,
    *,
    smoke: str = "",
    made: Mapping[str, WashAmount] | None = None,
    members: int = MEMBERS,
    seed: int = SEED,
) -> tuple[MarkerChain, ...]:
    """Every marker that malts made so can bring, from malt to cask; all phenols of the smoke before their parts.

    `malt_mg_per_kg` replaces the table's content of the malt, `labs` its chain up to the spirit, by marker; "phenols"
    is a certificate's total, which is split by `smoke` (peat, beech, oak). `made` is what the wash itself is known to
    hold, in place of the shares of wort and yeast; a laboratory pair goes before it. Raises Refused.
    """
    malt, labs, made = malt_mg_per_kg or {}, labs or {}, made or {}
    part = MarkerSource("", frozenset(processes), share_of_grist, malt, smoke, house.store_months)
    refuse_if_any([
        *limits(house, labs, malt, share_of_grist, made),
        *(smoke_split.problems(smoke, malt) if smoked(part) else ()),
    ])  # fmt: skip
    through = through_house([part], house, labs, members, seed, whole=False, made=made)
    return tuple(chain(row, through[row["marker"]], house) for row in chains() if row["marker"] in through)


def through_house(
    parts: Sequence[MarkerSource],
    house: HouseFigures,
    labs: Mapping[str, MarkerLab],
    members: int = MEMBERS,
    seed: int = SEED,
    *,
    whole: bool = True,
    made: Mapping[str, WashAmount] | None = None,
) -> dict[str, Through]:
    """Every followed marker of a grist through a house, by marker; a smoke's total is the sum of its parts.

    Contents are mg/kg of the `whole` grist, or of its one part. What the wash `made` stands for wort and yeast.
    """
    held = holdings(parts, members, seed, whole=whole)
    rows = {row["marker"]: row for row in chains()}
    ways = {marker: _way(rows[marker], one, labs.get(marker), members, seed) for marker, one in held.items()}
    for marker in (made or {}).keys() & ways.keys():
        ways[marker] = _told_by_wash(ways[marker], (made or {})[marker], house, members, seed)
    of_smoke = [marker for marker in held if rows[marker]["part_of"] == TOTAL]
    if TOTAL in labs and of_smoke:
        ways |= _by_the_total(labs[TOTAL], {marker: ways[marker] for marker in of_smoke})
    through = {marker: _through(way, house) for marker, way in ways.items()}
    if of_smoke:
        measured = all(TOTAL in part.malt_mg_per_kg for part in parts if smoked(part))
        through[TOTAL] = _together([through[marker] for marker in of_smoke], measured, TOTAL in labs)
    return through


def _way(row: dict[str, str], held: Held, lab: MarkerLab | None, members: int, seed: int) -> _Way:
    priors, drawn = steps(row["marker"]), drawn_steps(row["marker"], members, seed)
    plain = drawn["wort"] * drawn["wash"] * drawn["hearts"]
    typical = float(np.prod([priors[name].arguments[0] for name in SHARES]))
    known = plain if lab is None else _measured(lab, row["slope"], drawn["hearts"], priors["hearts"])
    return _Way(row, held, drawn, known, typical, lab is not None)


def _told_by_wash(way: _Way, amount: WashAmount, house: HouseFigures, members: int, seed: int) -> _Way:
    held = mg_per_t(way.row["marker"], amount, house.lpa_per_t, members, seed)
    return replace(way, made=held, made_source=source_of(amount))


def _by_the_total(lab: MarkerLab, ways: Mapping[str, _Way]) -> dict[str, _Way]:
    """The parts of the smoke brought by one factor to the total that the house's pair found in its spirit."""
    slopes = np.array([[cut_slope(way.row["slope"], lab.hearts_end_abv_pct)] for way in ways.values()])
    first = next(iter(ways.values()))
    asked = mass_share(lab) * _pair_spread(first.drawn["hearts"], steps(first.row["marker"])["hearts"])
    held = np.array([way.held.content.drawn for way in ways.values()])
    weights = held / np.maximum(held.sum(axis=0), TINY)
    came = _raised(np.array([way.known for way in ways.values()]) * slopes, weights, asked) / slopes
    return {name: replace(way, known=came[place], lab=True) for place, (name, way) in enumerate(ways.items())}


def _raised(shares: FloatArray, weights: FloatArray, asked: FloatArray) -> FloatArray:
    """Shares (parts, members) by one factor to a weighted sum (members,); none passes the whole, the rest make up."""
    whole = np.zeros(shares.shape, bool)
    for _ in shares:
        free = np.where(whole, 0.0, weights * shares).sum(axis=0)
        factor = np.maximum(asked - np.where(whole, weights, 0.0).sum(axis=0), 0.0) / np.maximum(free, TINY)
        factors = np.where(whole, 1.0, shares * factor)
        whole |= factors > 1.0
    return np.minimum(factors, 1.0)


def _through(way: _Way, house: HouseFigures) -> Through:
    """A marker's mg a tonne of grist from step to step."""
    priors, drawn, of = steps(way.row["marker"]), way.drawn, way.held
    held = of.mashed * of.share * 1000.0
    slope = cut_slope(way.row["slope"], house.hearts_end_abv_pct)
    wort, known = held * drawn["wort"], way.known
    spirit = held * np.minimum(known * slope, 1.0)
    if way.made is not None and not way.lab:
        known = way.made * drawn["hearts"] / np.maximum(held, TINY)
        spirit = way.made * np.minimum(drawn["hearts"] * slope, 1.0)
    amounts = {
        "grist": held,
        "store": of.mashed,
        "wort": wort,
        "wash": wort * drawn["wash"] if way.made is None else way.made,
        "spirit": spirit,
        "cask": spirit * drawn["cask_year"] ** house.cask_years,
    }
    names = (*(("store",) if of.stored else ()), "wort", "wash", "spirit", "cask")
    sources = {name: priors[NAMED.get(name, name)].source for name in names}
    if way.made_source is not None:
        sources["wash"] = way.made_source
    if way.lab:
        sources["spirit"] = PAIR
    return Through(of.content, amounts, sources, known / way.typical, way.lab, of.parts)


def _together(parts: Sequence[Through], total_given: bool, lab: bool) -> Through:
    """All phenols of the smoke: the sum of their parts at every step."""
    amounts = {step: np.sum([part.amounts[step] for part in parts], axis=0) for step in parts[0].amounts}
    measured = total_given or all(part.content.source is smoke_split.GIVEN for part in parts)
    source = smoke_split.GIVEN if measured else smoke_split.SUM
    drawn = np.sum([part.content.drawn for part in parts], axis=0)
    content = Content(drawn, sum(part.content.middle for part in parts), source)
    sources = {step: PAIR if lab and step == "spirit" else smoke_split.SUM for step in parts[0].sources}
    usual = np.sum([part.amounts["spirit"] / part.factor for part in parts], axis=0)
    names = tuple(dict.fromkeys(name for part in parts for name in part.parts))
    return Through(content, amounts, sources, amounts["spirit"] / np.maximum(usual, TINY), lab, names)


def chain(row: dict[str, str], through: Through, house: HouseFigures, held: str = "malt") -> MarkerChain:
    """A marker's way in a house as a record: what is `held` (malt, grist), then concentrations, then transfer told
    twice."""
    grist = np.maximum(through.amounts["grist"], TINY)
    return MarkerChain(
        row["marker"],
        row["title"],
        row["passes"],
        row["sentence"],
        steps_of(through, house, held),
        band(1e5 * through.amounts["spirit"] / house.spirit_L_per_t / grist),
        band(100.0 * through.amounts["spirit"] / grist),
        band(through.factor),
        through.lab,
        row["part_of"],
    )


def steps_of(through: Through, house: HouseFigures, held: str) -> tuple[MarkerStep, ...]:
    """Where a marker stands after each step, and the share of it that the step left."""
    litres = {"wort": house.wash_L_per_t, "wash": house.wash_L_per_t}
    content = band(through.content.drawn)
    malt = Band(content.low, through.content.middle, content.high)
    found = [_step(held, malt, "mg/kg", through.content.source)]
    before = through.amounts["grist"]
    for name, source in through.sources.items():
        if name == "store":
            left = band(100.0 * through.amounts["store"] / np.maximum(through.content.drawn, TINY))
            found.append(_step(name, band(through.amounts[name]), "mg/kg", source, left))
            continue
        left = band(100.0 * through.amounts[name] / np.maximum(before, TINY))
        found.append(
            _step(name, band(through.amounts[name] / litres.get(name, house.spirit_L_per_t)), "mg/L", source, left)
        )
        before = through.amounts[name]
    return tuple(found)


def _step(name: str, amount: Band, unit: str, source: Source, left: Band | None = None) -> MarkerStep:
    return MarkerStep(name, TITLES[name], amount, unit, str(source.standing), source.text, left)


def _measured(lab: MarkerLab, slope: str, drawn: FloatArray, prior: Prior) -> FloatArray:
    """The house's own share up to a cut at 60 %vol: its pair in the middle, the spread of a pair around it."""
    return np.asarray(mass_share(lab) / cut_slope(slope, lab.hearts_end_abv_pct) * _pair_spread(drawn, prior))


def _pair_spread(drawn: FloatArray, prior: Prior) -> FloatArray:
    """How far a laboratory pair may lie from the truth, as a factor, on the draws of a step."""
    middle, factor = prior.arguments
    return np.asarray((drawn / middle) ** (np.log(LAB_FACTOR) / np.log(factor)))


def cut_slope(marker: str, hearts_end_abv_pct: float) -> float:
    """The marker's share in the hearts over that of hearts ending at 60 %vol; 1 where it names no slope."""
    return float(np.interp(hearts_end_abv_pct, *cut_slopes(marker))) if marker else 1.0


def band(values: FloatArray) -> Band:
    """The 5, 50 and 95 % of draws (members,)."""
    low, middle, high = np.quantile(values, [0.05, 0.5, 0.95])
    return Band(float(low), float(middle), float(high))
