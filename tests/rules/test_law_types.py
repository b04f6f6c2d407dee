"""The types of malt before the law: a smoked or caramel malt stays of the cereal it is made of."""

from __future__ import annotations

import pytest

from gristwright.basics import Verdict
from gristwright.records.law import GristPart
from gristwright.rules.law import judge
from gristwright.stages.grist.materials import materials
from rules.law_sample import ON, facts, verdict

# Where all malt, or the named share of it, must be barley.
OF_BARLEY = ("EU_SINGLE_MALT", "GB_SCOTCH_SINGLE_MALT", "IE_MALT")
OTHER = sorted(m.key for m in materials().values() if m.species != "barley")


def of_type(key: str, pct: float) -> GristPart:
    material = materials()[key]
    return GristPart(material.species, material.malted, material.form, material.process, round(pct * 100), None)


@pytest.mark.parametrize("share", [100.0, 50.0, 0.01])
@pytest.mark.parametrize("category", OF_BARLEY)
@pytest.mark.parametrize("key", OTHER)
def test_malt_of_another_cereal_is_never_malted_barley(key: str, category: str, share: float) -> None:
    rest = (of_type("pilsner_malt", 100.0 - share),) if share < 100.0 else ()
    country = "IE" if category == "IE_MALT" else "GB-SCT"
    assert verdict(category, facts(grist=(of_type(key, share), *rest), country=country)) is Verdict.FAIL


@pytest.mark.parametrize("category", ["EU_SINGLE_MALT", "GB_SCOTCH_SINGLE_MALT"])
@pytest.mark.parametrize("key", ["pilsner_malt", "oak_smoked_malt", "peated_malt", "beech_smoked_malt"])
def test_malted_barley_stays_malted_barley(key: str, category: str) -> None:
    assert verdict(category, facts(grist=(of_type(key, 100.0),))) is Verdict.PASS


def test_oak_smoked_wheat_is_malted_wheat_to_the_law() -> None:
    """51 % of it is enough for wheat whisky, none of it counts as malted barley."""
    grist = (of_type("oak_smoked_wheat_malt", 60.0), of_type("pilsner_malt", 40.0))
    answers = {rule.rule_id: rule for rule in judge("US_WHEAT", facts(grist=grist, country="US"), ON).answers}
    assert answers["US-WH-51"].verdict is Verdict.PASS
    malt = {rule.rule_id: rule for rule in judge("US_MALT", facts(grist=grist, country="US"), ON).answers}
    assert malt["US-MA-51"].verdict is Verdict.FAIL
