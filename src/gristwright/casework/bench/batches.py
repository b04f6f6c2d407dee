"""Whole batches: how many washbacks and still charges one mash is, and what does not divide. See docs/capacity.md."""

from __future__ import annotations

import math
from dataclasses import dataclass

from gristwright.basics import Band
from gristwright.quantities.shown import plain, with_interval
from gristwright.records.plant import Plant, PotStills
from gristwright.records.results import Figure
from gristwright.stages.wash.boards import LEAST_ROOM

HOUSE = "input.plant"
WHOLE = 0.02  # of a charge: nearer to a whole number than this counts as whole; our choice


@dataclass(frozen=True)
class WashbackFilling:
    """How mashes go into washbacks: so many mashes in one, or so many washbacks for one mash; one of the two is 1."""

    mashes: int
    washbacks: int
    fill_L: float
    room_pct: float


def wort_of_mash_L(plant: Plant) -> float:
    """Wort, or whole mash, of one mash [L]."""
    return plant.mash.kg_per_mash / 1000.0 * plant.mash.wort_L_per_t


def filling(plant: Plant) -> WashbackFilling:
    """As many mashes in a washback as leave room for the head; or one mash in the fewest washbacks that do."""
    wort_L = wort_of_mash_L(plant)
    usable = plant.washbacks.volume_L * (1.0 - LEAST_ROOM)
    mashes = max(1, math.floor(usable / wort_L + 1e-9))
    washbacks = max(1, math.ceil(wort_L / usable - 1e-9))
    fill = wort_L * mashes / washbacks
    return WashbackFilling(mashes, washbacks, fill, 100.0 * (1.0 - fill / plant.washbacks.volume_L))


def figures(plant: Plant, fill: WashbackFilling) -> list[Figure]:
    """Washbacks and wash still charges by volume alone, before they are rounded to whole ones."""
    of_mash = wort_of_mash_L(plant) / plant.washbacks.volume_L
    found = [_figure("washbacks_of_mash", "washbacks of a mash, by volume", "washbacks", of_mash)]
    stills = plant.pot_stills
    if stills is not None and plant.column is None:
        charges = fill.fill_L / stills.wash_charge_L
        found.append(_figure("wash_charges_by_volume", "wash still charges of it, by volume", "charges", charges))
    return found


def _figure(key: str, label: str, unit: str, value: float) -> Figure:
    return Figure(key, label, unit, Band(value, value, value), 2, (HOUSE,))


def words(plant: Plant, fill: WashbackFilling, spirit: Figure | None) -> tuple[str, ...]:
    """What one mash is in washbacks and charges, a sentence each, and what does not divide.

    `spirit` are the spirit still charges of a washback, None where they are withheld or there is no such still.
    """
    lines = [_washbacks(plant, fill)]
    if plant.column is not None:
        hours = fill.fill_L / plant.column.beer_L_per_h
        lines.append(f"A washback feeds the column for {plain(hours, 1)} h.")
    elif plant.pot_stills is not None:
        lines.append(_wash_still(plant.pot_stills, fill))
        lines += [_spirit_still(plant.pot_stills, spirit)] if spirit is not None else []
    lines += _year(plant)
    return tuple(lines)


def _washbacks(plant: Plant, fill: WashbackFilling) -> str:
    wort_L, each, back = wort_of_mash_L(plant), plant.washbacks, plain(plant.washbacks.volume_L, 0)
    full = f"{100.0 - fill.room_pct:.0f} %"
    if fill.mashes > 1:
        spare = each.volume_L * (1.0 - LEAST_ROOM) / wort_L - fill.mashes
        left = f"; room for {plain(spare, 2)} of a mash more stays empty" if spare > WHOLE else ""
        return f"{fill.mashes} mashes of {plain(wort_L, 0)} L fill one washback of {back} L to {full}{left}."
    if fill.washbacks > 1:
        idle = each.count % fill.washbacks
        left = f"; of {each.count} washbacks {idle} would be left without a whole mash" if idle else ""
        return (
            f"One mash of {plain(wort_L, 0)} L is split over {fill.washbacks} washbacks of {back} L, {full} full{left}."
        )
    return f"One mash of {plain(wort_L, 0)} L fills one washback of {back} L to {full}."


def _wash_still(stills: PotStills, fill: WashbackFilling) -> str:
    charge_L = stills.wash_charge_L
    charges, said = fill.fill_L / charge_L, f"of {plain(stills.wash_charge_L, 0)} L"
    whole = max(1, round(charges))
    if abs(charges - whole) <= WHOLE:
        return f"A washback is {_counted(whole, 'wash still charge')} {said}."
    runs = math.ceil(charges)
    even = plain(fill.fill_L / runs, 0)
    if runs == 1:
        ways = f"one charge of {even} L, and the still is not full"
    else:
        last_L = fill.fill_L - (runs - 1) * charge_L
        ways = f"{_counted(runs - 1, 'full one')} and one of {plain(last_L, 0)} L, or {runs} of {even} L each"
    return (
        f"A washback is {plain(charges, 2)} wash still charges {said}, which does not divide: {ways}. The heating "
        "surface has to stay covered to the end of the run."
    )


def _spirit_still(stills: PotStills, spirit: Figure) -> str:
    """Low wines stand in one receiver, so what does not divide waits; the band says how sure the number is."""
    band, said = spirit.band, f"of {plain(stills.spirit_charge_L, 0)} L"
    line = f"Its low wines with their feints are {with_interval(band, 1)} spirit still charges {said}"
    if abs(band.middle - max(1, round(band.middle))) <= WHOLE:
        return f"{line}."
    full = math.floor(band.middle)
    have = f"{_counted(full, 'full charge')}, and the rest waits" if full else "what is less than one charge waits"
    return f"{line}, which does not divide: {have} in the receiver for the next washback."


def _counted(count: int, what: str) -> str:
    return f"one {what}" if count == 1 else f"{count} {what}s"


def _year(plant: Plant) -> list[str]:
    """Mashes in the tonnes of the plant file, where they are no whole number."""
    mashes = plant.tonnes_per_year / (plant.mash.kg_per_mash / 1000.0)
    if abs(mashes - round(mashes)) <= WHOLE:
        return []
    tonnes = plain(math.floor(mashes) * plant.mash.kg_per_mash / 1000.0, 1)
    return [f"{plain(plant.tonnes_per_year, 0)} t a year are {plain(mashes, 1)} mashes; whole ones are {tonnes} t."]
