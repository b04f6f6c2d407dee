"""A certificate to its markers: a total is split by the smoke of the type, single figures lie inside it, age counts."""

from __future__ import annotations

import pytest

from gristwright.basics import Refused
from gristwright.casework.bench import lot_markers
from gristwright.records.lot import Analysis, Lot
from gristwright.stages.markers.model import HouseFigures, follow_markers

HOUSE = HouseFigures(410.0, 68.0)


def lot(material: str, **mg_per_kg: float) -> Lot:
    months = mg_per_kg.pop("months", None)
    analyses = [Analysis(f"{name}_mg_per_kg", value, "mg/kg", "as is", "HPLC") for name, value in mg_per_kg.items()]
    if months is not None:
        analyses.append(Analysis("months_in_store", months, "months"))
    return Lot("A", material, analyses=tuple(analyses))


def in_malt(one: Lot, smoke: str = "") -> dict[str, float]:
    told = lot_markers(one)
    found = follow_markers(told.processes, HOUSE, told.malt_mg_per_kg, smoke=smoke or told.smoke)
    return {chain.marker: chain.steps[0].amount.middle for chain in found}


@pytest.mark.parametrize("material", ["beech_smoked_malt", "oak_smoked_malt", "oak_smoked_wheat_malt", "peated_malt"])
def test_nine_on_a_certificate_is_nine_and_not_twenty_seven(material: str) -> None:
    held = in_malt(lot(material, phenols=9.0))
    assert held["phenols"] == 9.0
    assert sum(held.get(part, 0.0) for part in ("phenol", "guaiacol", "syringol")) == pytest.approx(9.0)


def test_single_figures_beside_their_total_are_not_added_to_it() -> None:
    held = in_malt(lot("oak_smoked_malt", phenols=9.0, phenol=1.0, cresols=0.5, guaiacol=2.0, syringol=5.5))
    assert (held["phenols"], held["phenol"], held["guaiacol"], held["syringol"]) == (9.0, 1.5, 2.0, 5.5)


def test_phenol_without_cresols_is_asked_for_and_not_used() -> None:
    told = lot_markers(lot("peated_malt", phenols=9.0, phenol=4.0))
    assert told.malt_mg_per_kg == {"phenols": 9.0}
    assert "phenol, the single substance is not used" in " ".join(problem.sentence() for problem in told.asked)


def test_the_age_at_mashing_comes_from_the_lot_or_is_asked() -> None:
    assert lot_markers(lot("peated_malt", phenols=9.0, months=6.0)).store_months == 6.0
    told = lot_markers(lot("peated_malt", phenols=9.0))
    assert told.store_months is None
    assert "how old the malt will be at mashing" in " ".join(problem.sentence() for problem in told.asked)


def test_a_smoke_without_a_type_goes_by_the_users_own_analysis() -> None:
    """Cherry-smoked wheat malt stands under wheat malt; its smoke has no pattern, its own figures need none."""
    own = lot("wheat_malt", phenol=1.0, cresols=1.0, guaiacol=1.5, syringol=5.5)
    assert set(lot_markers(own).processes) == {"pale", "wheat", "smoked"}
    assert in_malt(own)["phenols"] == 9.0
    with pytest.raises(Refused, match="not said what the malt was smoked with"):
        in_malt(lot("wheat_malt", phenols=9.0))


def test_a_malt_that_brings_none_is_refused_by_what_brings_some() -> None:
    with pytest.raises(Refused, match=r"raw barley brings none of the markers.*rye.*smoked"):
        lot_markers(lot("raw_barley"))
    with pytest.raises(Refused, match="is not possible"):
        lot_markers(lot("peated_malt", phenols=900.0))
