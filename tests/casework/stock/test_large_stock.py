"""A large stock: reckoned at another pace, on draws that fit, in the time its lines ask for."""

import datetime as dt
import sys
from pathlib import Path

import numpy as np
import pytest

from gristwright.basics import Refused
from gristwright.casework import stock as casks
from gristwright.casework.stock import ledger, pace
from gristwright.files import casks_in
from gristwright.files.casks_in import read_casks
from gristwright.records.stock import LedgerEntry
from gristwright.stages.cask import course, model, stores, strides

ON = dt.date(2026, 11, 25)
HEAD = "date,cask,what,litres,abv_pct,degC,method,store,from,spirit,kind,wood\n"


def written(folder: Path, lines: int) -> Path:
    path = folder / "big.csv"
    rows = (f"2015-01-05,C{k},filled,198,63.5,20,metered,S,,malt,barrel,oak\n" for k in range(lines))
    path.write_text(HEAD + "".join(rows))
    return path


def test_a_ledger_of_more_lines_than_fit_is_refused_before_a_line_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(casks_in, "MOST_LINES", 20)
    monkeypatch.setattr(casks_in, "_entry", None)
    found = read_casks(written(tmp_path, 21))
    assert found.value is None
    assert "holds 21 lines, and 20 fit." in found.problems[0].sentence()


def test_reading_tells_how_far_it_is_and_can_be_stopped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(casks_in, "LINES_A_TELLING", 10)
    told: list[tuple[int, int]] = []
    read_casks(written(tmp_path, 35), lambda done, total, _: told.append((done, total)))
    assert told == [(10, 35), (20, 35), (30, 35)]

    def stop(_done: int, _total: int, _note: str) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        read_casks(written(tmp_path, 35), stop)


def racked(count: int) -> list[LedgerEntry]:
    """So many casks, each racked into the next on a day of its own."""
    kind, entries = stores.kind_named("barrel"), []
    for k in range(count):
        day = dt.date(2010, 1, 4) + dt.timedelta(days=k)
        came = (f"C{k - 1}",) if k else ()
        where = casks_in.Address("a.csv", row=k + 2)
        entries.append(
            LedgerEntry(where, day, f"C{k}", "filled", 195.0, 60.0, 20.0, store="S", sources=came, kind=kind)
        )
        entries += [LedgerEntry(where, day, came[0], "emptied")] if came else []
    return entries


def test_a_line_out_of_a_cask_looks_at_that_cask_and_not_at_the_whole_book(monkeypatch: pytest.MonkeyPatch) -> None:
    looked = []
    original = ledger.checks.of_filling
    monkeypatch.setattr(
        ledger.checks, "of_filling", lambda entry, full, held: looked.append(len(held)) or original(entry, full, held)
    )
    made = casks.assemble(racked(300), {"": stores.climate_named("temperate store")}, ON)
    assert max(looked) == 1
    assert len(made.gone) == 299


def test_draws_are_halved_until_they_fit_and_the_number_of_casks_that_fits_is_said() -> None:
    assert pace.draws_that_fit(1000, 512) == 512
    assert pace.draws_that_fit(50_000, 512) == 32
    assert pace.draws_that_fit(10_000_000, 512) == pace.LEAST_DRAWS
    (said,) = pace.fewer(50_000, 512)
    assert said.warning
    assert "on 32 draws, not 512: 3125 casks fit on 512" in said.sentence()


def test_long_steps_end_where_short_ones_do() -> None:
    climate = stores.climate_named("temperate store")
    middle = model_draws()
    loss = np.array([0.6, 1.0, 1.6, 4.0])
    shell = model.shell_of(stores.kind_named("barrel"), 198.0, 63.5)
    walls = model.walls_of(shell, loss, np.ones(1), middle)
    walls = course.Walls(
        *(
            np.broadcast_to(c, loss.shape)
            for c in (walls.ethanol_pass, walls.water_pass, walls.soak_kg, walls.given_water_kg)
        ),
        walls.soak_years,
        np.broadcast_to(walls.fill_kg, loss.shape),
    )
    state = np.zeros((6, 4))
    state[0], state[1] = (np.broadcast_to(kg, 4) for kg in model.content.masses_kg(198.0, 63.5))
    first = np.full(4, dt.date(2015, 1, 5).toordinal())
    marks = [dt.date(year, 1, 5).toordinal() for year in range(2016, 2036)]
    journey = course.Journey(np.zeros(4, dtype=np.int64), first, np.full(4, marks[-1]), first)
    _, short = course.run(state, walls, course.air_of([climate]), journey, marks)
    _, far = strides.run(state, walls, course.air_of([climate]), journey, marks)
    assert np.abs(far[:, :, :3] / short[:, :, :3] - 1.0).max() < 2e-3
    assert np.abs(far - short).max() < 4e-3 * state[1, 0]  # the leaker, while it runs dry


def test_long_steps_lie_between_the_days_of_each_cask() -> None:
    middle, air = model_draws(), course.air_of([stores.climate_named("temperate store")])
    rng = np.random.default_rng(1)
    casks = 60
    shell = model.shell_of(stores.kind_named("hogshead"), 245.0, 63.5)
    shell = model.Shell(*(np.repeat(getattr(shell, f), casks) for f in model.Shell.__dataclass_fields__))
    walls = model.walls_of(shell, rng.uniform(0.3, 2.0, casks), np.ones(casks), middle)
    state = np.zeros((6, casks))
    state[:2] = model.content.masses_kg(shell.fill_L, shell.fill_abv_pct)
    filled = dt.date(2010, 1, 5).toordinal() + rng.integers(0, 2000, casks)
    start = filled + np.where(rng.random(casks) < 0.5, 0, rng.integers(0, 1500, casks))
    journey = course.Journey(np.zeros(casks, dtype=np.int64), start, start + rng.integers(0, 3000, casks), filled)
    short, _ = course.run(state, walls, air, journey)
    far, _ = strides.run(state, walls, air, journey)
    assert np.abs(far[:2] / short[:2] - 1.0).max() < 1e-3
    assert far[0:2] + far[2:4] + far[4:6] == pytest.approx(state[:2])


def model_draws() -> dict[str, np.ndarray]:
    from gristwright.numerics.draws import middles
    from gristwright.reference.load import priors

    return dict(middles(priors("cask")))


def test_every_cask_of_a_large_stock_is_not_named_one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    entries = [
        LedgerEntry(
            casks_in.Address("a.csv", row=k),
            dt.date(2015, 1, 5),
            f"C{k}",
            "filled",
            195.0,
            60.0,
            20.0,
            store="S",
            kind=stores.kind_named("barrel"),
            spirit=f"s{k % 5}",
        )
        for k in range(12)
    ]
    stock = casks.assemble(entries, {"": stores.climate_named("temperate store")}, ON)
    usual = casks.forecast(stock, 2, casks.regauge(stock, 64))
    monkeypatch.setattr(pace, "LARGE", 5)
    monkeypatch.setattr(sys.modules["gristwright.casework.stock.forecast"], "MOST_NAMED", 5)
    large = casks.forecast(stock, 2, casks.regauge(stock, 64))
    for mark in range(3):
        assert large.rla_L[mark].middle == pytest.approx(usual.rla_L[mark].middle, rel=1e-3)
    with pytest.raises(Refused, match="12 casks are more than the 5 that are named one by one"):
        casks.forecast(stock, 2, each=True)


def test_rackings_of_rackings_end_in_a_sentence_and_like_spirit_is_counted_once() -> None:
    kind, day = stores.kind_named("barrel"), dt.date(2015, 1, 5)

    def filled(k: int, *came: str) -> LedgerEntry:
        where = casks_in.Address("a.csv", row=k)
        return LedgerEntry(where, day, f"C{k}", "filled", 195.0, 60.0, 20.0, store="S", sources=came, kind=kind)

    twice = [filled(0), *(filled(k, f"C{k - 1}", f"C{k - 1}") for k in range(1, 40))]
    climates = {"": stores.climate_named("temperate store")}
    made = casks.assemble(twice, climates, ON)
    assert {len(cask.components) for cask in made.casks} == {1}
    long = [filled(0), *(filled(k, f"C{k - 1}") for k in range(1, ledger.MOST_STAYS + 2))]
    said = [fault.sentence() for fault in casks.assemble(long, climates, ON).set_aside if not fault.warning]
    assert "2001 stays in wood behind it, and 2000 fit." in said[0]
