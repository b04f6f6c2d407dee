"""A certificate's total of phenols is split by the smoke and never counted twice: its parts add up to it."""

from __future__ import annotations

import numpy as np
import pytest

from gristwright.basics import Band, Refused
from gristwright.records.markers_through import MarkerChain, MarkerLab
from gristwright.stages.grist.materials import materials
from gristwright.stages.markers.model import HouseFigures, follow_markers
from gristwright.stages.markers.smoke import contents, patterns

HOUSE = HouseFigures(410.0, 68.0)
SMOKES = ("peat", "beech", "oak")
PARTS = ("phenol", "guaiacol", "syringol")


def chains(smoke: str, malt: dict[str, float] | None = None, **given: object) -> dict[str, MarkerChain]:
    found = follow_markers(("smoked",), HOUSE, malt, smoke=smoke, **given)  # type: ignore[arg-type]
    return {chain.marker: chain for chain in found}


def amount(chain: MarkerChain, step: str = "malt") -> float:
    return next(one.amount.middle for one in chain.steps if one.step == step)


@pytest.mark.parametrize("smoke", SMOKES)
@pytest.mark.parametrize("total", [9.0, 54.0])
def test_the_parts_of_a_total_add_up_to_it(smoke: str, total: float) -> None:
    found = chains(smoke, {"phenols": total})
    assert sum(amount(chain) for chain in found.values() if chain.part_of) == pytest.approx(total, rel=1e-12)
    assert amount(found["phenols"]) == total
    assert found["phenols"].part_of == ""


@pytest.mark.parametrize("smoke", SMOKES)
def test_they_add_up_in_every_single_draw(smoke: str) -> None:
    drawn = contents(smoke, {"phenols": 9.0}, 512, 1)
    assert np.allclose(sum(part.drawn for part in drawn.values()), 9.0, rtol=1e-12)


@pytest.mark.parametrize("smoke", SMOKES)
def test_a_pattern_is_whole_and_says_what_it_rests_on(smoke: str) -> None:
    shares = patterns()[smoke]
    assert sum(part.share for part in shares.values()) == pytest.approx(1.0, abs=1e-12)
    assert set(shares) == set(PARTS)
    step = chains(smoke, {"phenols": 9.0})["guaiacol"].steps[0]
    assert step.standing in ("from memory", "estimate")
    assert "split" in step.source


def test_wood_smoke_is_not_read_as_peat() -> None:
    peat, oak = chains("peat", {"phenols": 9.0}), chains("oak", {"phenols": 9.0})
    assert amount(oak["phenol"]) < 0.5 * amount(peat["phenol"])
    assert 2.0 <= amount(oak["syringol"]) / amount(oak["guaiacol"]) <= 4.0
    assert "syringol" not in peat
    assert amount(oak["phenols"], "spirit") < 0.6 * amount(peat["phenols"], "spirit")


@pytest.mark.parametrize("smoke", SMOKES)
def test_without_a_content_the_usual_total_of_the_type_is_split(smoke: str) -> None:
    usual = next(m for m in materials().values() if m.smoke == smoke).typical["phenols_mg_per_kg"]
    found = chains(smoke)
    assert amount(found["phenols"]) == pytest.approx(usual.middle)
    band = found["phenols"].steps[0].amount
    assert 1 / 1.4 < band.low / usual.low < 1.4
    assert 1 / 1.4 < band.high / usual.high < 1.4


def band(chain: MarkerChain, step: str) -> Band:
    return next(one.amount for one in chain.steps if one.step == step)


def test_the_whole_of_a_mash_is_the_sum_of_its_parts_at_every_step() -> None:
    """Each part has draws of its own, so the whole is surer than its parts added end by end; middles do not add, but
    the middle of a sum of such skew parts lies above the sum of their middles, and not far."""
    found = chains("oak", {"phenols": 9.0})
    for step in ("malt", "wort", "wash", "spirit"):
        parts = [band(chain, step) for chain in found.values() if chain.part_of]
        whole = band(found["phenols"], step)
        low, middle, high = (sum(getattr(part, end) for part in parts) for end in ("low", "middle", "high"))
        assert low <= whole.low * (1.0 + 1e-9) and whole.high <= high * (1.0 + 1e-9)
        assert middle * (1.0 - 1e-9) <= whole.middle < 1.2 * middle


def test_smoke_that_is_not_given_is_asked_for_with_the_way_to_give_it() -> None:
    with pytest.raises(Refused) as refused:
        chains("", {"phenols": 9.0})
    (problem,) = refused.value.problems
    assert "not said what the malt was smoked with" in problem.what
    for word in ("--smoke peat", "beech", "oak", "--malt phenol=", "guaiacol=", "syringol="):
        assert word in problem.way_out


@pytest.mark.parametrize("smoke", ["cherry", "Erle", "straw"])
def test_a_smoke_without_a_pattern_is_refused_by_name_with_the_way_out(smoke: str) -> None:
    with pytest.raises(Refused) as refused:
        chains(smoke, {"phenols": 9.0})
    text = str(refused.value)
    assert f"{smoke!r}" in text
    assert "own analysis by marker" in text


@pytest.mark.parametrize(
    ("word", "smoke"), [("Buche", "beech"), ("Eichenholz", "oak"), ("Torf", "peat"), ("PEAT", "peat")]
)
def test_a_smoke_is_understood_in_plain_words(word: str, smoke: str) -> None:
    assert chains(word, {"phenols": 9.0}) == chains(smoke, {"phenols": 9.0})


@pytest.mark.parametrize("smoke", ["", "cherry"])
def test_an_analysis_of_every_marker_needs_no_pattern(smoke: str) -> None:
    own = {"phenol": 2.0, "guaiacol": 1.5, "syringol": 5.5}
    found = chains(smoke, own)
    assert {marker: amount(found[marker]) for marker in PARTS} == own
    assert amount(found["phenols"]) == 9.0
    assert all(found[marker].steps[0].standing == "measured" for marker in (*PARTS, "phenols"))


def test_what_is_measured_of_a_total_leaves_the_rest_to_the_others() -> None:
    found = chains("oak", {"phenols": 9.0, "syringol": 5.0})
    assert amount(found["syringol"]) == 5.0
    assert amount(found["phenol"]) + amount(found["guaiacol"]) == pytest.approx(4.0)
    assert amount(found["phenols"]) == 9.0


@pytest.mark.parametrize(
    ("malt", "said"),
    [
        ({"phenols": 9.0, "guaiacol": 10.0}, "the parts given make 10 mg/kg and the total 9"),
        ({"phenols": 9.0, **dict.fromkeys(PARTS, 1.0)}, "the parts given make 3 mg/kg and the total 9"),
    ],
)  # fmt: skip
def test_parts_that_do_not_fit_their_total_are_refused(malt: dict[str, float], said: str) -> None:
    with pytest.raises(Refused, match=said):
        chains("oak", malt)


@pytest.mark.parametrize(
    ("smoke", "own", "total"),
    [
        # By the pattern: phenol is 0.8 of peat smoke, syringol 0.6 of oak's, phenol and guaiacol 0.2 each of beech's.
        ("peat", {"phenol": 8.0}, 10.0),
        ("oak", {"syringol": 6.0}, 10.0),
        ("beech", {"phenol": 2.0, "guaiacol": 2.0}, 10.0),
    ],
)
def test_parts_without_a_total_make_it_by_the_pattern(smoke: str, own: dict[str, float], total: float) -> None:
    """What is not given follows from what is: the type's usual total is not added to it, which counted smoke twice."""
    found = chains(smoke, own)
    assert amount(found["phenols"]) == pytest.approx(total)
    assert all(amount(found[marker]) == value for marker, value in own.items())
    whole = band(found["phenols"], "malt")
    assert sum(own.values()) < whole.low < total < whole.high


def test_a_part_that_the_pattern_has_none_of_leaves_the_usual_total() -> None:
    """Peat's pattern has no syringol, so one that is measured tells nothing of the rest."""
    usual = materials()["peated_malt"].typical["phenols_mg_per_kg"].middle
    found = chains("peat", {"syringol": 1.0})
    assert amount(found["phenols"]) == pytest.approx(usual)


def test_parts_that_leave_nothing_to_split_must_make_the_total() -> None:
    """Peat's pattern has no syringol, so phenol and guaiacol alone are its whole."""
    with pytest.raises(Refused, match="the parts given make 5 mg/kg and the total 9"):
        chains("peat", {"phenols": 9.0, "phenol": 4.0, "guaiacol": 1.0})
    assert amount(chains("peat", {"phenols": 5.0, "phenol": 4.0, "guaiacol": 1.0})["phenols"]) == 5.0


def test_a_pair_of_totals_holds_for_the_sum() -> None:
    """54 mg/kg and 24 mg/L (trade, from memory) are 44 % ppm to ppm and 27 % by mass at 410 LPA/t and 68 %vol."""
    found = chains("peat", {"phenols": 54.0}, labs={"phenols": MarkerLab(54.0, 24.0, 410.0, 68.0)})
    assert found["phenols"].ppm_to_ppm_pct.middle == pytest.approx(44.4, abs=0.1)
    assert found["phenols"].by_mass_pct.middle == pytest.approx(26.8, abs=0.1)
    assert found["phenols"].measured
    spirit = sum(amount(chain, "spirit") for chain in found.values() if chain.part_of)
    assert spirit == pytest.approx(24.0, rel=0.02)
    assert found["guaiacol"].by_mass_pct.middle < found["phenol"].by_mass_pct.middle


def test_a_pair_that_wood_smoke_could_hardly_give_is_kept_all_the_same() -> None:
    """Phenol and guaiacol of oak smoke come whole before syringol is asked for more than its little."""
    found = chains("oak", {"phenols": 54.0}, labs={"phenols": MarkerLab(54.0, 24.0, 410.0, 68.0)})
    assert found["phenols"].ppm_to_ppm_pct.middle == pytest.approx(44.4, abs=0.1)
    assert all(chain.by_mass_pct.high <= 100.0 for chain in found.values())
    assert found["syringol"].by_mass_pct.middle < found["guaiacol"].by_mass_pct.middle


def test_the_table_gives_the_trade_pair_for_peat_as_it_was_set_to() -> None:
    assert amount(chains("peat", {"phenols": 54.0})["phenols"], "spirit") == pytest.approx(24.0, rel=0.05)


def test_a_pair_of_the_total_and_of_a_part_is_refused() -> None:
    pair = MarkerLab(54.0, 24.0, 410.0, 68.0)
    with pytest.raises(Refused, match="a pair of the total stands beside one of guaiacol"):
        chains("peat", {"phenols": 54.0}, labs={"phenols": pair, "guaiacol": pair})
