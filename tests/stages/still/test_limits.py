"""Every limit answers in one sentence, all at once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gristwright.basics import Refused, at, refuse_if_any
from gristwright.records.plant import PotStills
from gristwright.records.streams import Wash
from gristwright.stages.still import limits

STILLS = PotStills(wash_charge_L=12_000.0, spirit_charge_L=8_000.0)


def wash_of(abv_pct: float) -> Wash:
    one = np.ones(64)
    return Wash(5000.0 * one, abv_pct * one, 50.0 * abv_pct * one, 0.0 * one, one, one)


def test_a_common_house_passes_without_a_word() -> None:
    assert limits.check(wash_of(8.0), STILLS) == []


@pytest.mark.parametrize("abv_pct", [3.0, 14.0, float("nan")])
def test_a_wash_outside_the_range_is_refused(abv_pct: float) -> None:
    with pytest.raises(Refused, match="4 to 13 %vol"):
        refuse_if_any(limits.check_wash(wash_of(abv_pct)))


def test_a_wash_partly_outside_is_warned_of() -> None:
    wash = replace(wash_of(12.5), abv_pct=np.linspace(11.5, 13.5, 64))
    (problem,) = limits.check_wash(wash)
    assert problem.warning


@pytest.mark.parametrize(
    ("field", "value", "word"),
    [
        ("charge_abv_pct", 29.0, "above 28"),
        ("charge_abv_pct", 31.0, "well above 30"),
        ("low_wines_abv_pct", 17.0, "18 to 30"),
        ("heart_abv_pct", 82.0, "55 to 80"),
        ("low_wines_abv_pct", 28.0, "run to 1 %vol"),
    ],
)
def test_what_a_stillman_would_look_at_twice_is_a_warning(field: str, value: float, word: str) -> None:
    problems = limits.check(wash_of(8.0), replace(STILLS, **{field: value}))
    assert any(word in problem.sentence() for problem in problems)
    assert all(problem.warning for problem in problems)


def test_what_cannot_be_is_refused_all_at_once() -> None:
    stills = PotStills(wash_charge_L=0.0, spirit_charge_L=-1.0, low_wines_abv_pct=7.0, heart_abv_pct=138.0)
    faults = [p for p in limits.check(wash_of(8.0), stills) if not p.warning]
    fields = ("wash_charge_L", "spirit_charge_L", "heart_abv_pct", "low_wines_abv_pct")
    assert {p.where for p in faults} == {at("plant", "pot_stills", field) for field in fields}


def test_a_heart_weaker_than_the_low_wines_is_refused() -> None:
    with pytest.raises(Refused, match="low wines"):
        refuse_if_any(limits.check_stills(replace(STILLS, heart_abv_pct=20.0)))
