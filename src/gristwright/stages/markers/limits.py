"""What a house may give of itself and its laboratory before its markers are followed. See docs/give_and_gain.md."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from gristwright.basics import Problem
from gristwright.records.markers_through import MarkerLab
from gristwright.stages.markers import smoke as smoke_split
from gristwright.stages.markers.rows import TOTAL, chains

LEAST_CUT, MOST_CUT, MOST_YEARS, MOST_MONTHS = 55.0, 72.0, 60.0, 120.0
LEAST_LPA, MOST_LPA = 50.0, 500.0


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
    house: HouseFigures,
    labs: Mapping[str, MarkerLab],
    malt: Mapping[str, float],
    share_of_grist: float = 1.0,
    made: Collection[str] = (),
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
        elif (mass := mass_share(lab)) > 1.0:
            problems.append(
                Problem(
                    f"laboratory pair of {name}",
                    f"the spirit holds {100 * mass:.0f} % of what the malt held.",
                    "Check units, and what else brings it: wood, still, yeast.",
                )
            )
    names = {row["marker"] for row in chains()}
    for name in {*labs, *malt, *made} - names:
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
    if not LEAST_LPA <= lpa <= MOST_LPA:
        what = f"{lpa:g} L pure alcohol a tonne is outside {LEAST_LPA:g} to {MOST_LPA:g}."
        problems.append(Problem(where, what, "Give the house's yield."))
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


def mass_share(lab: MarkerLab) -> float:
    """Share of the grist's marker that the laboratory found in the spirit."""
    return (
        lab.spirit_mg_per_L
        * (100.0 * lab.lpa_per_t / lab.spirit_abv_pct)
        / (1000.0 * lab.malt_mg_per_kg * lab.share_of_grist)
    )
