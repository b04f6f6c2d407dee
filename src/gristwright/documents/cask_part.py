"""What the cask does, as a part of the dossier. See docs/cask.md."""

from __future__ import annotations

from dataclasses import dataclass

from gristwright.basics import Band
from gristwright.documents.entries import STATED, Entry, entry, percent, single
from gristwright.quantities.shown import capital, plain, with_interval
from gristwright.records.cask import CaskOutlook, CaskYear, YearlyLosses

NOTE = (
    "One sound cask of the plan in its store, the same for every bill; 5 to 95 % in brackets. A leaking cask, about "
    "one in a hundred, loses more and is found by its gauges. Loss only: flavour and maturity are not forecast, and a "
    "small cask gives no whisky faster."
)
CONVENTIONS = (
    ("bulk_of_original", "bulk litres, of the original"),
    ("bulk_of_remaining", "bulk litres, of the remaining"),
    ("alcohol_of_original", "pure alcohol, of the original"),
    ("alcohol_of_remaining", "pure alcohol, of the remaining"),
)


@dataclass(frozen=True)
class CaskYearView:
    """The cask after so many years."""

    years: Entry
    strength: Entry
    alcohol: Entry
    bulk: Entry


@dataclass(frozen=True)
class FloorView:
    """The floor of strength, and when the cask falls under it."""

    abv: Entry
    years: Entry | None
    chance: str
    says: str


@dataclass(frozen=True)
class CaskPartView:
    """The outlook of the plan's cask."""

    name: str
    years: tuple[CaskYearView, ...]
    losses: tuple[Entry, ...]
    floor: FloorView
    humidity: str
    note: str


def cask_view(cask: CaskOutlook) -> CaskPartView:
    """The outlook as a view, every number with what it rests on."""
    rests = cask.rests_on
    return CaskPartView(
        name=f"{capital(cask.cask)}, filled at {plain(cask.entry_abv_pct, 1)} %vol, in a {cask.store}",
        years=tuple(_year(year, rests) for year in cask.years),
        losses=_losses(cask.losses, rests),
        floor=FloorView(
            abv=single("floor_abv_pct", "legal floor", "%vol", cask.floor_abv_pct, 0, "rule of the category"),
            years=None if cask.floor_years is None else _floor_entry(cask.floor_years, rests),
            chance=percent(cask.floor_chance),
            says=_floor_words(cask),
        ),
        humidity=_humidity(cask),
        note=NOTE,
    )


def _year(year: CaskYear, rests: tuple[str, ...]) -> CaskYearView:
    return CaskYearView(
        years=single("years", "time in the cask", "years", year.years, 0 if year.years % 1 == 0 else 1, STATED),
        strength=entry("abv_pct", "strength", "%vol", year.abv_pct, 1, rests),
        alcohol=entry("alcohol_left_pct", "pure alcohol left", "%", year.alcohol_left_pct, 1, rests),
        bulk=entry("bulk_left_pct", "bulk litres left", "%", year.bulk_left_pct, 1, rests),
    )


def _losses(losses: YearlyLosses | None, rests: tuple[str, ...]) -> tuple[Entry, ...]:
    if losses is None:
        return ()
    return tuple(entry(key, title, "% a year", getattr(losses, key), 2, rests) for key, title in CONVENTIONS)


def _floor_entry(years: Band, rests: tuple[str, ...]) -> Entry:
    return entry("floor_years", "years until strength is under the floor", "years", years, 0, rests)


def _floor_words(cask: CaskOutlook) -> str:
    if cask.withheld:
        return cask.withheld
    floor, looked = f"{plain(cask.floor_abv_pct, 0)} %vol", cask.looked_years
    if cask.floor_years is None:
        return f"Strength stays at or above the floor of {floor} for {looked} years in every run."
    when = with_interval(cask.floor_years, 0)
    chance = percent(cask.floor_chance)
    sentence = f"Strength falls under the floor of {floor} within {looked} years in {chance} of the runs"
    return f"{sentence}, then after {when} years."


def _humidity(cask: CaskOutlook) -> str:
    stays = cask.neutral_humidity
    if stays is None:
        return ""
    neutral = Band(*(100.0 * part for part in (stays.low, stays.middle, stays.high)))
    store = 100.0 * cask.store_humidity
    return f"Store at {store:.0f} % humidity over the year; strength stays put at {with_interval(neutral, 0)} %."
