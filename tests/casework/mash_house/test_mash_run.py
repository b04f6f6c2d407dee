"""One simulated mash as a distiller reads it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from gristwright.casework.mash_house.mash_bench import range_warnings, set_out
from gristwright.casework.mash_house.mash_run import grist_bench, mash_run
from gristwright.casework.mash_house.measuring import share_of_spread
from gristwright.files.certificates.lots_in import read_lots
from gristwright.files.jobs_in import read_bill
from gristwright.records.mash_trials import COURSES, ENZYMES, MashRun
from scenario import FOLDER, lots, sheet

MEMBERS = 128


@cache
def pot() -> MashRun:
    return mash_run(sheet(), lots(), members=MEMBERS)


@cache
def column() -> MashRun:
    folder = FOLDER.parent / "maize-rye-column"
    return mash_run(
        read_bill(folder / "bill.toml").accepted(), read_lots(folder / "certificates.xlsx").accepted(), members=MEMBERS
    )


def test_every_course_has_a_band_at_every_time() -> None:
    for run in (pot(), column()):
        assert set(run.courses) == set(COURSES)
        assert all(len(bands) == len(run.times_min) for bands in run.courses.values())
        assert all(band.low <= band.middle <= band.high for bands in run.courses.values() for band in bands)
        assert run.balance_error < 1e-9


def test_a_tun_draws_three_worts_and_tells_where_they_go() -> None:
    first, second, third = pot().worts
    assert (first.name, first.goes_to, third.goes_to) == ("first water", "washback", "next mash")
    assert first.degP.middle > second.degP.middle > third.degP.middle
    # Common practice: the second water is hot enough to end beta-amylase for good.
    assert second.alive_pct["beta_alive"].high < 1.0
    assert set(first.alive_pct) == set(ENZYMES)


def test_the_wort_is_as_strong_as_the_house_collects_it() -> None:
    """5000 L/t of an extract of some 76 % as is hold 152 g/L: 14.4 degP by the Plato table (152/1.058 g/L)."""
    figures = {figure.key: figure.band.middle for figure in pot().figures}
    assert figures["original_gravity_degP"] == pytest.approx(14.4, abs=0.4)
    assert figures["volume_L_per_t"] == pytest.approx(5000.0, rel=0.02)


def test_the_ends_of_an_all_malt_mash_are_those_of_the_trade() -> None:
    """Unboiled all-malt wort ferments to 86-88 %, boiled to 68-72 % real (trade handbooks, from memory)."""
    figures = {figure.key: figure.band for figure in pot().figures}
    assert figures["unboiled_pct"].low < 87.0 < figures["unboiled_pct"].high
    assert figures["now_pct"].middle < figures["unboiled_pct"].middle
    assert figures["unconverted_pct"].middle < 2.0


def test_a_cooked_mash_goes_whole_and_says_what_it_rests_on() -> None:
    run = column()
    assert [wort.name for wort in run.worts] == ["whole mash"]
    assert any("all-malt worts" in problem.what for problem in run.warnings)
    # Malt put in to thin the cook dies in it: alpha-amylase is gone before the malt goes in (common practice).
    hottest = max(range(len(run.times_min)), key=lambda k: run.settled_degC[k])
    assert run.courses["alpha_alive"][hottest].high < 0.01


def test_what_to_measure_narrows_and_is_read_by_the_mash() -> None:
    known = {assumption.name for assumption in pot().assumptions}
    assert pot().measure_next
    for item in pot().measure_next:
        assert item.by > 0.0
        assert item.assumption in known


def test_share_of_spread() -> None:
    draw = np.random.default_rng(3)
    cause, noise = draw.normal(size=(2, 2048))
    assert share_of_spread(cause + noise, cause) == pytest.approx(0.5, abs=0.08)
    assert share_of_spread(cause**2, cause) > 0.5
    assert share_of_spread(noise, cause) < 0.02
    assert share_of_spread(np.ones(16), cause[:16]) == 0.0


@pytest.mark.parametrize(
    ("change", "words"), [({"settled_mash_degC": 74.0}, "74.0 degC"), ({"mash_pH": 4.8}, "pH 4.8")]
)
def test_outside_its_depth_the_model_says_so(change: dict[str, float], words: str) -> None:
    plant = sheet().plant
    moved = replace(sheet(), plant=replace(plant, mash=replace(plant.mash, **change)))  # type: ignore[arg-type]
    bench = grist_bench(moved, lots(), 16, 1)
    said = " ".join(p.what for p in range_warnings(set_out(bench, moved.bill, bench.draws), boiled=False))
    assert words in said
    assert not range_warnings(set_out(grist_bench(sheet(), lots(), 16, 1), moved.bill, bench.draws), boiled=False)
