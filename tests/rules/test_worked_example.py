"""The two bills worked by hand in docs/law.md give what the page says."""

from __future__ import annotations

from gristwright.basics import Verdict
from gristwright.records.law import CategoryAnswer, GristPart
from gristwright.rules.law import judge
from rules.law_sample import ON, facts

CARAMEL_BARLEY = (
    GristPart("barley", True, "whole", "none", 9000, 8986),
    GristPart("barley", True, "whole", "caramel", 1000, 1014),
)
CARAMEL_RYE = (
    GristPart("barley", True, "whole", "none", 9500, 9495),
    GristPart("rye", True, "whole", "caramel", 500, 505),
)


def answer_for(key: str, grist: tuple[GristPart, ...]) -> CategoryAnswer:
    """A category on one of the two bills, made in France."""
    return judge(key, facts(grist=grist, country="FR"), ON)


def test_dry_shares_of_the_page_follow_from_its_moistures() -> None:
    for shares, moistures, dry in (((90, 10), (4.5, 3.0), (8986, 1014)), ((95, 5), (4.5, 3.5), (9495, 505))):
        masses = [share * (100 - moisture) for share, moisture in zip(shares, moistures, strict=True)]
        assert tuple(round(10000 * mass / sum(masses)) for mass in masses) == dry


def test_caramel_malt_of_barley_keeps_the_term_single_malt() -> None:
    assert answer_for("EU_WHISKY", CARAMEL_BARLEY).verdict is Verdict.PASS
    answer = answer_for("EU_SINGLE_MALT", CARAMEL_BARLEY)
    assert answer.verdict is Verdict.PASS
    assert next(a.flag for a in answer.answers if a.rule_id == "EU-9a")


def test_caramel_malt_of_rye_loses_the_term_and_stays_whisky() -> None:
    assert answer_for("EU_WHISKY", CARAMEL_RYE).verdict is Verdict.PASS
    answer = answer_for("EU_SINGLE_MALT", CARAMEL_RYE)
    assert answer.verdict is Verdict.FAIL
    assert [a.rule_id for a in answer.answers if a.verdict is Verdict.FAIL] == ["EU-9a"]
    reason = next(a.reason for a in answer.answers if a.rule_id == "EU-9a")
    assert "malted barley 95.00 % of the grist as weighed and 94.95 % of the dry grist, exactly 100 % asked" in reason
