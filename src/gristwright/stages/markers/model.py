"""Markers of caramel, roast and smoke from malt to cask, as a chain of graded shares. See docs/give_and_gain.md."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from gristwright.basics import Band, FloatArray, Prior, Problem, Source, Standing, refuse_if_any
from gristwright.numerics.draws import SEED, sample
from gristwright.records.markers_through import MarkerChain, MarkerLab, MarkerStep
from gristwright.reference.load import csv_rows
from gristwright.stages.markers import smoke as smoke_split
from gristwright.stages.markers.rows import IN_STORE, SHARES, TOTAL, chains, cut_slopes
from gristwright.stages.markers.smoke import Content

MEMBERS = 2048
TITLES = {
    "malt": "in the malt",
    "store": "malt as mashed",
    "wort": "wort",
    "wash": "fermented wash",
    "spirit": "new spirit",
    "cask": "after the cask",
}
# Steps whose share stands under another name in the table.
NAMED = {"store": IN_STORE, "spirit": "hearts", "cask": "cask_year"}
SMOKED = "smoked"
PAIR = Source("the house's laboratory pair", Standing.MEASURED)
TINY = 1e-12
# One standard deviation of a house's own laboratory pair, as a factor: two analyses and the sampling of malt.
LAB_FACTOR = 1.2
LEAST_CUT, MOST_CUT, MOST_YEARS, MOST_MONTHS = 55.0, 72.0, 60.0, 120.0


@dataclass(frozen=True)
class HouseFigures:
    """What turns amounts into concentrations, and where the hearts end."""

    lpa_per_t: float
    spirit_abv_pct: float
    hearts_end_abv_pct: float = 60.0
    cask_years: float = 0.0
    wash_L_per_t: float = 5000.0
    store_months: float = 0.0  # of the malt, from its analysis to the mash

    @property
    def spirit_L_per_t(self) -> float:
        """Litres of spirit as filled from a tonne."""
        return 100.0 * self.lpa_per_t / self.spirit_abv_pct


def limits(
    house: HouseFigures, labs: Mapping[str, MarkerLab], malt: Mapping[str, float], share_of_grist: float = 1.0
) -> list[Problem]:
    """Every fault of the figures given."""
    problems = _house_problems("house", house.lpa_per_t, house.spirit_abv_pct, house.hearts_end_abv_pct)
    if not 0.0 < share_of_grist <= 1.0:
        what = f"{100.0 * share_of_grist:g} % of the grist is outside 0 to 100."
        problems.append(Problem("share", what, "Give the share of the malt that brings the marker."))
    if not 0.0 <= house.cask_years <= MOST_YEARS:
        what = f"{house.cask_years:g} years in the cask are outside 0 to {MOST_YEARS:g}."
        problems.append(Problem("years", what, "Give the years in wood."))
    if not 0.0 <= house.store_months <= MOST_MONTHS:
        what = f"{house.store_months:g} months in store are outside 0 to {MOST_MONTHS:g}."
        problems.append(Problem("store", what, "Give the months from the analysis of the malt to the mash."))
    for name, lab in labs.items():
        problems += _house_problems(
            f"laboratory pair of {name}", lab.lpa_per_t, lab.spirit_abv_pct, lab.hearts_end_abv_pct
        )
        if not (lab.malt_mg_per_kg > 0.0 and lab.spirit_mg_per_L >= 0.0 and 0.0 < lab.share_of_grist <= 1.0):
            problems.append(
                Problem(
                    f"laboratory pair of {name}",
                    "has a value that cannot be.",
                    "Give mg/kg of malt, mg/L of spirit and the malt's share of the grist.",
                )
            )
        elif (mass := _mass_share(lab)) > 1.0:
            problems.append(
                Problem(
                    f"laboratory pair of {name}",
                    f"the spirit holds {100 * mass:.0f} % of what the malt held.",
                    "Check units, and what else brings it: wood, still, yeast.",
                )
            )
    names = {row["marker"] for row in chains()}
    for name in {*labs, *malt} - names:
        problems.append(Problem(name, "is not followed.", f"Followed are: {', '.join(sorted(names))}."))
    if TOTAL in labs and (beside := [name for name in smoke_split.parts() if name in labs]):
        what = f"a pair of the total stands beside one of {', '.join(beside)}."
        problems.append(Problem("laboratory pairs", what, "Give the pair of the total, or pairs of its parts."))
    problems += [
        Problem(n, f"{v:g} mg/kg is below nothing.", "Give the malt's content.") for n, v in malt.items() if v < 0
    ]
    return problems


def _house_problems(where: str, lpa: float, abv: float, cut: float) -> list[Problem]:
    problems = []
    if not 50.0 <= lpa <= 500.0:
        problems.append(
            Problem(where, f"{lpa:g} L pure alcohol a tonne is outside 50 to 500.", "Give the house's yield.")
        )
    if not 40.0 <= abv <= 95.0:
        problems.append(
            Problem(where, f"{abv:g} %vol is outside 40 to 95.", "Give the strength of the spirit as filled.")
        )
    if not LEAST_CUT <= cut <= MOST_CUT:
        problems.append(
            Problem(
                where,
                f"hearts ending at {cut:g} %vol are outside {LEAST_CUT:g} to {MOST_CUT:g}.",
                "The slopes do not reach further; give a cut inside.",
            )
        )
    return problems


def follow_markers(
    processes: Collection[str],
    house: HouseFigures,
    malt_mg_per_kg: Mapping[str, float] | None = None,
    share_of_grist: float = 1.0,
    labs: Mapping[str, MarkerLab] | None = None,
    *,
    smoke: str = "",
    members: int = MEMBERS,
    seed: int = SEED,
) -> tuple[MarkerChain, ...]:
    """Every marker that malts made so can bring, from malt to cask; all phenols of the smoke before their parts.

    `malt_mg_per_kg` replaces the table's content of the malt, `labs` its chain up to the spirit, by marker; "phenols"
    is a certificate's total, which is split by `smoke` (peat, beech, oak). Raises Refused.
    """
    malt, labs = malt_mg_per_kg or {}, labs or {}
    smoked = SMOKED in processes
    refuse_if_any([*limits(house, labs, malt, share_of_grist), *(smoke_split.problems(smoke, malt) if smoked else ())])
    held = smoke_split.contents(smoke, malt, members, seed) if smoked else {}
    rows = [row for row in chains() if set(row["processes"].split("|")) & set(processes)]
    single = [row for row in rows if row["marker"] != TOTAL and (not row["part_of"] or row["marker"] in held)]
    ways = {row["marker"]: _way(row, malt, held, labs, members, seed) for row in single}
    if TOTAL in labs:
        ways |= _by_the_total(labs[TOTAL], {marker: ways[marker] for marker in held})
    through = {marker: _through(way, house, share_of_grist) for marker, way in ways.items()}
    if held:
        through[TOTAL] = _together([through[marker] for marker in held], malt, TOTAL in labs)
    return tuple(_chain(row, through[row["marker"]], house) for row in rows if row["marker"] in through)


@cache
def _steps(marker: str) -> dict[str, Prior]:
    """The marker's steps as priors. Content and shares are lognormal; a share never passes more than there was, but a
    little of furaneol, which yeast can add to."""
    steps = {}
    for row in csv_rows("tables/marker_steps.csv"):
        if row["marker"] == marker:
            middle, factor = float(row["middle"]), float(row["factor"])
            high = 1e6 if row["step"] == "malt" else max(1.0, middle * factor) + 1e-6
            source = Source(row["source"], Standing(row["standing"]))
            name = f"marker.{marker}.{row['step']}"
            steps[row["step"]] = Prior(name, row["step"], row["unit"], "lognormal", (middle, factor), 0.0, high, source)
    return steps


@dataclass(frozen=True)
class _Way:
    """What is known of a marker before a house is asked: content, share of each step, share up to the spirit."""

    row: dict[str, str]
    content: Content
    drawn: dict[str, FloatArray]  # by step, (members,)
    known: FloatArray  # up to the spirit of hearts ending at 60 %vol
    typical: float
    lab: bool


@dataclass(frozen=True)
class _Through:
    """A marker in a house: mg a tonne of grist at every step, (members,), with what each step rests on."""

    content: Content
    amounts: dict[str, FloatArray]  # grist, wort, wash, spirit, cask
    sources: dict[str, Source]
    factor: FloatArray  # against the table's chain
    lab: bool


def _way(
    row: dict[str, str],
    malt: Mapping[str, float],
    held: Mapping[str, Content],
    labs: Mapping[str, MarkerLab],
    members: int,
    seed: int,
) -> _Way:
    marker, lab = row["marker"], labs.get(row["marker"])
    priors = _steps(marker)
    columns = sample(priors.values(), members, seed)
    drawn = {name: columns[prior.name] for name, prior in priors.items()}
    content = held.get(marker) or _content(priors["malt"], drawn["malt"], malt.get(marker))
    plain = drawn["wort"] * drawn["wash"] * drawn["hearts"]
    typical = float(np.prod([priors[name].arguments[0] for name in SHARES]))
    known = plain if lab is None else _measured(lab, row["slope"], drawn["hearts"], priors["hearts"])
    return _Way(row, content, drawn, known, typical, lab is not None)


def _content(prior: Prior, drawn: FloatArray, given: float | None) -> Content:
    if given is not None:
        return Content(np.full_like(drawn, given), given, smoke_split.GIVEN)
    return Content(drawn, float(np.median(drawn)), prior.source)


def _by_the_total(lab: MarkerLab, ways: Mapping[str, _Way]) -> dict[str, _Way]:
    """The parts of the smoke brought by one factor to the total that the house's pair found in its spirit."""
    slopes = np.array([[cut_slope(way.row["slope"], lab.hearts_end_abv_pct)] for way in ways.values()])
    first = next(iter(ways.values()))
    asked = _mass_share(lab) * _pair_spread(first.drawn["hearts"], _steps(first.row["marker"])["hearts"])
    held = np.array([way.content.drawn for way in ways.values()])
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


def _through(way: _Way, house: HouseFigures, share: float) -> _Through:
    """A marker's mg a tonne of grist from step to step."""
    priors, drawn = _steps(way.row["marker"]), way.drawn
    kept = drawn[IN_STORE] ** house.store_months if IN_STORE in drawn else 1.0
    held = way.content.drawn * kept * share * 1000.0
    to_spirit = np.minimum(way.known * cut_slope(way.row["slope"], house.hearts_end_abv_pct), 1.0)
    wort = held * drawn["wort"]
    amounts = {
        "grist": held,
        "store": way.content.drawn * kept,
        "wort": wort,
        "wash": wort * drawn["wash"],
        "spirit": held * to_spirit,
        "cask": held * to_spirit * drawn["cask_year"] ** house.cask_years,
    }
    steps = (*(("store",) if house.store_months and IN_STORE in drawn else ()), "wort", "wash", "spirit", "cask")
    sources = {name: priors[NAMED.get(name, name)].source for name in steps}
    if way.lab:
        sources["spirit"] = PAIR
    return _Through(way.content, amounts, sources, way.known / way.typical, way.lab)


def _together(parts: Sequence[_Through], malt: Mapping[str, float], lab: bool) -> _Through:
    """All phenols of the smoke: the sum of their parts at every step."""
    amounts = {step: np.sum([part.amounts[step] for part in parts], axis=0) for step in parts[0].amounts}
    measured = TOTAL in malt or all(part.content.source is smoke_split.GIVEN for part in parts)
    source = smoke_split.GIVEN if measured else smoke_split.SUM
    drawn = np.sum([part.content.drawn for part in parts], axis=0)
    content = Content(drawn, sum(part.content.middle for part in parts), source)
    sources = {step: PAIR if lab and step == "spirit" else smoke_split.SUM for step in parts[0].sources}
    usual = np.sum([part.amounts["spirit"] / part.factor for part in parts], axis=0)
    return _Through(content, amounts, sources, amounts["spirit"] / np.maximum(usual, TINY), lab)


def _chain(row: dict[str, str], through: _Through, house: HouseFigures) -> MarkerChain:
    """A marker's way in a house as a record: content, then concentrations, then transfer told twice."""
    litres = {"wort": house.wash_L_per_t, "wash": house.wash_L_per_t}
    spirit_L = house.spirit_L_per_t
    malt = Band(_band(through.content.drawn).low, through.content.middle, _band(through.content.drawn).high)
    steps = [_step("malt", malt, "mg/kg", through.content.source)]
    for name, source in through.sources.items():
        per, unit = (1.0, "mg/kg") if name == "store" else (litres.get(name, spirit_L), "mg/L")
        steps.append(_step(name, _band(through.amounts[name] / per), unit, source))
    grist = np.maximum(through.amounts["grist"], TINY)
    return MarkerChain(
        row["marker"],
        row["title"],
        row["passes"],
        row["sentence"],
        tuple(steps),
        _band(1e5 * through.amounts["spirit"] / spirit_L / grist),
        _band(100.0 * through.amounts["spirit"] / grist),
        _band(through.factor),
        through.lab,
        row["part_of"],
    )


def _step(name: str, amount: Band, unit: str, source: Source) -> MarkerStep:
    return MarkerStep(name, TITLES[name], amount, unit, str(source.standing), source.text)


def _mass_share(lab: MarkerLab) -> float:
    """Share of the grist's marker that the laboratory found in the spirit."""
    return (
        lab.spirit_mg_per_L
        * (100.0 * lab.lpa_per_t / lab.spirit_abv_pct)
        / (1000.0 * lab.malt_mg_per_kg * lab.share_of_grist)
    )


def _measured(lab: MarkerLab, slope: str, drawn: FloatArray, prior: Prior) -> FloatArray:
    """The house's own share up to a cut at 60 %vol: its pair in the middle, the spread of a pair around it."""
    return np.asarray(_mass_share(lab) / cut_slope(slope, lab.hearts_end_abv_pct) * _pair_spread(drawn, prior))


def _pair_spread(drawn: FloatArray, prior: Prior) -> FloatArray:
    """How far a laboratory pair may lie from the truth, as a factor, on the draws of a step."""
    middle, factor = prior.arguments
    return np.asarray((drawn / middle) ** (np.log(LAB_FACTOR) / np.log(factor)))


def cut_slope(marker: str, hearts_end_abv_pct: float) -> float:
    """The marker's share in the hearts over that of hearts ending at 60 %vol; 1 where it names no slope."""
    return float(np.interp(hearts_end_abv_pct, *cut_slopes(marker))) if marker else 1.0


def _band(values: FloatArray) -> Band:
    low, middle, high = np.quantile(values, [0.05, 0.5, 0.95])
    return Band(float(low), float(middle), float(high))
