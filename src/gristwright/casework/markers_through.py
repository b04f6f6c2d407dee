"""Markers of caramel, roast and smoke from malt to cask, as a chain of graded shares. See docs/give_and_gain.md."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np

from gristwright.basics import Band, FloatArray, Prior, Problem, Source, Standing, refuse_if_any
from gristwright.numerics.draws import SEED, sample
from gristwright.records.markers_through import MarkerChain, MarkerLab, MarkerStep
from gristwright.reference.load import csv_rows

MEMBERS = 2048
SHARES = ("wort", "wash", "hearts")
TITLES = {
    "malt": "in the malt",
    "wort": "wort",
    "wash": "fermented wash",
    "spirit": "new spirit",
    "cask": "after the cask",
}
# One standard deviation of a house's own laboratory pair, as a factor: two analyses and the sampling of malt.
LAB_FACTOR = 1.2
LEAST_CUT, MOST_CUT, MOST_YEARS = 55.0, 72.0, 60.0


@dataclass(frozen=True)
class House:
    """What turns amounts into concentrations, and where the hearts end."""

    lpa_per_t: float
    spirit_abv_pct: float
    hearts_end_abv_pct: float = 60.0
    cask_years: float = 0.0
    wash_L_per_t: float = 5000.0

    @property
    def spirit_L_per_t(self) -> float:
        """Litres of spirit as filled from a tonne."""
        return 100.0 * self.lpa_per_t / self.spirit_abv_pct


def limits(
    house: House, labs: Mapping[str, MarkerLab], malt: Mapping[str, float], share_of_grist: float = 1.0
) -> list[Problem]:
    """Every fault of the figures given."""
    found = _house_problems("house", house.lpa_per_t, house.spirit_abv_pct, house.hearts_end_abv_pct)
    if not 0.0 < share_of_grist <= 1.0:
        what = f"{100.0 * share_of_grist:g} % of the grist is outside 0 to 100."
        found.append(Problem("share", what, "Give the share of the malt that brings the marker."))
    if not 0.0 <= house.cask_years <= MOST_YEARS:
        what = f"{house.cask_years:g} years in the cask are outside 0 to {MOST_YEARS:g}."
        found.append(Problem("years", what, "Give the years in wood."))
    for name, lab in labs.items():
        found += _house_problems(
            f"laboratory pair of {name}", lab.lpa_per_t, lab.spirit_abv_pct, lab.hearts_end_abv_pct
        )
        if not (lab.malt_mg_per_kg > 0.0 and lab.spirit_mg_per_L >= 0.0 and 0.0 < lab.share_of_grist <= 1.0):
            found.append(
                Problem(
                    f"laboratory pair of {name}",
                    "has a value that cannot be.",
                    "Give mg/kg of malt, mg/L of spirit and the malt's share of the grist.",
                )
            )
        elif (mass := _mass_share(lab)) > 1.0:
            found.append(
                Problem(
                    f"laboratory pair of {name}",
                    f"the spirit holds {100 * mass:.0f} % of what the malt held.",
                    "Check units, and what else brings it: wood, still, yeast.",
                )
            )
    names = {row["marker"] for row in csv_rows("tables/marker_chains.csv")}
    for name in {*labs, *malt} - names:
        found.append(Problem(name, "is not followed.", f"Followed are: {', '.join(sorted(names))}."))
    found += [
        Problem(n, f"{v:g} mg/kg is below nothing.", "Give the malt's content.") for n, v in malt.items() if v < 0
    ]
    return found


def _house_problems(where: str, lpa: float, abv: float, cut: float) -> list[Problem]:
    found = []
    if not 50.0 <= lpa <= 500.0:
        found.append(Problem(where, f"{lpa:g} L pure alcohol a tonne is outside 50 to 500.", "Give the house's yield."))
    if not 40.0 <= abv <= 95.0:
        found.append(Problem(where, f"{abv:g} %vol is outside 40 to 95.", "Give the strength of the spirit as filled."))
    if not LEAST_CUT <= cut <= MOST_CUT:
        found.append(
            Problem(
                where,
                f"hearts ending at {cut:g} %vol are outside {LEAST_CUT:g} to {MOST_CUT:g}.",
                "The slopes do not reach further; give a cut inside.",
            )
        )
    return found


def follow_markers(
    processes: Collection[str],
    house: House,
    malt_mg_per_kg: Mapping[str, float] | None = None,
    share_of_grist: float = 1.0,
    labs: Mapping[str, MarkerLab] | None = None,
    *,
    members: int = MEMBERS,
    seed: int = SEED,
) -> tuple[MarkerChain, ...]:
    """Every marker that malts made so can bring, from malt to cask.

    `malt_mg_per_kg` replaces the table's content of the malt, `labs` its chain up to the spirit, by marker.
    Raises Refused.
    """
    malt, labs = malt_mg_per_kg or {}, labs or {}
    refuse_if_any(limits(house, labs, malt, share_of_grist))
    rows = [row for row in csv_rows("tables/marker_chains.csv") if set(row["processes"].split("|")) & set(processes)]
    return tuple(
        _chain(row, house, malt.get(row["marker"]), share_of_grist, labs.get(row["marker"]), members, seed)
        for row in rows
    )


@cache
def _steps(marker: str) -> dict[str, Prior]:
    """The marker's steps as priors. Content and shares are lognormal; a share never passes more than there was, but a
    little of furaneol, which yeast can add to."""
    found = {}
    for row in csv_rows("tables/marker_steps.csv"):
        if row["marker"] == marker:
            middle, factor = float(row["middle"]), float(row["factor"])
            high = 1e6 if row["step"] == "malt" else max(1.0, middle * factor) + 1e-6
            source = Source(row["source"], Standing(row["standing"]))
            name = f"marker.{marker}.{row['step']}"
            found[row["step"]] = Prior(name, row["step"], row["unit"], "lognormal", (middle, factor), 0.0, high, source)
    return found


def _chain(
    row: dict[str, str],
    house: House,
    content: float | None,
    share: float,
    lab: MarkerLab | None,
    members: int,
    seed: int,
) -> MarkerChain:
    marker = row["marker"]
    priors = _steps(marker)
    drawn = {name: sample([list(priors.values())], [], members, seed)[prior.name] for name, prior in priors.items()}
    malt = drawn["malt"] if content is None else np.full(members, content)
    held = malt * share * 1000.0  # mg a tonne, times 1000 kg
    slope = cut_slope(row["slope"], house.hearts_end_abv_pct)
    passed = {"wort": drawn["wort"], "wash": drawn["wort"] * drawn["wash"]}
    plain = passed["wash"] * drawn["hearts"]
    typical = float(np.prod([priors[name].arguments[0] for name in SHARES]))
    known = plain if lab is None else _measured(lab, row["slope"], drawn["hearts"], priors["hearts"])
    to_spirit = np.minimum(known * slope, 1.0)
    spirit = held * to_spirit / house.spirit_L_per_t
    aged = spirit * drawn["cask_year"] ** house.cask_years
    amounts = {
        "malt": (malt, "mg/kg"),
        "wort": (held * passed["wort"] / house.wash_L_per_t, "mg/L"),
        "wash": (held * passed["wash"] / house.wash_L_per_t, "mg/L"),
        "spirit": (spirit, "mg/L"),
        "cask": (aged, "mg/L"),
    }
    named = {"spirit": "hearts", "cask": "cask_year"}
    steps = tuple(
        _step(name, *amounts[name], priors[named.get(name, name)], _owner(name, content, lab)) for name in amounts
    )
    grist = np.maximum(malt * share, 1e-12)
    return MarkerChain(
        marker,
        row["title"],
        row["passes"],
        row["sentence"],
        steps,
        _band(100.0 * spirit / grist),
        _band(100.0 * to_spirit),
        _band(known / typical),
        lab is not None,
    )


def _owner(step: str, content: float | None, lab: MarkerLab | None) -> str:
    """Whose figure a step is, when it is not the table's."""
    if step == "malt" and content is not None:
        return "the content given for this malt"
    return "the house's laboratory pair" if step == "spirit" and lab is not None else ""


def _step(name: str, amount: FloatArray, unit: str, prior: Prior, own: str) -> MarkerStep:
    standing, source = (str(Standing.MEASURED), own) if own else (str(prior.source.standing), prior.source.text)
    return MarkerStep(name, TITLES[name], _band(amount), unit, standing, source)


def _mass_share(lab: MarkerLab) -> float:
    """Share of the grist's marker that the laboratory found in the spirit."""
    return (
        lab.spirit_mg_per_L
        * (100.0 * lab.lpa_per_t / lab.spirit_abv_pct)
        / (1000.0 * lab.malt_mg_per_kg * lab.share_of_grist)
    )


def _measured(lab: MarkerLab, slope: str, drawn: FloatArray, prior: Prior) -> FloatArray:
    """The house's own share up to a cut at 60 %vol: its pair in the middle, the spread of a pair around it."""
    middle, factor = prior.arguments
    spread = (drawn / middle) ** (np.log(LAB_FACTOR) / np.log(factor))
    return np.asarray(_mass_share(lab) / cut_slope(slope, lab.hearts_end_abv_pct) * spread)


def cut_slope(marker: str, hearts_end_abv_pct: float) -> float:
    """The marker's share in the hearts over that of hearts ending at 60 %vol; 1 where no slope is known."""
    rows = [row for row in csv_rows("tables/marker_cut_slopes.csv") if row["marker"] == marker]
    if not rows:
        return 1.0
    cuts = [float(row["hearts_end_abv_pct"]) for row in rows]
    return float(np.interp(hearts_end_abv_pct, cuts, [float(row["relative_to_60"]) for row in rows]))


def _band(values: FloatArray) -> Band:
    low, middle, high = np.quantile(values, [0.05, 0.5, 0.95])
    return Band(float(low), float(middle), float(high))
