"""Is the starch of every grain gelatinised where the house puts it? See docs/boards.md."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from gristwright.basics import Draws, FloatArray, Light
from gristwright.numerics.runs import Runs
from gristwright.quantities.shown import either
from gristwright.records.lot import Material
from gristwright.records.results import Board, Figure
from gristwright.records.ways import OPENS_DEGC, USUAL_STAND_MIN, Ways
from gristwright.reference.grains import Opening
from gristwright.reference.grains import opening as opening_of
from gristwright.stages.grist.board_floors import at, light_of

HOUSE = "input.plant"
NO_WAY_LEFT = "Nothing in the mash betters it: change the bill, for grain that opens earlier."
# What a cooker leaves shut falls until here (stages/grist/raw_grain.py); from the other on it is a pressure vessel.
BEST_COOK_DEGC, BOILS_DEGC = 140.0, 99.0


def gelatinisation_range(material: Material) -> Opening | None:
    """Where the starch of a type may be done; None where heat has opened it already, or there is none: husks.

    Raises Refused for a grain that the table does not hold so.
    """
    if material.dark or material.husk or material.opened:
        return None
    return opening_of(material.species, material.malted, material.key)


def complete_degC(opening: Opening, wort_g_per_100g: FloatArray | float, draws: Draws) -> FloatArray:
    """Temperature at which the starch is done [degC], (members,); strong wort shifts it up.

    Shift: +1 degC for +2.5 g extract/100 g, De Schepper & Courtin 2022, Food Hydrocolloids 107745.
    """
    place = draws["grist.gelatinisation_place"]
    thicker = np.maximum(np.asarray(wort_g_per_100g) - at("gelatinisation_base_g_per_100g"), 0.0)
    shift = at("gelatinisation_shift_degC") * thicker
    return np.asarray(opening.done_low_degC + place * (opening.done_high_degC - opening.done_low_degC) + shift)


def margin_degC(
    material: Material, settled_mash_degC: float, cook_degC: float | None, wort_g_per_100g: FloatArray, draws: Draws
) -> FloatArray | None:
    """Degrees by which the grain is hotter than its starch needs, (members,); None where nothing need be gelatinised.

    Unmalted grain goes through the cooker when there is one, in thin slurry; malt goes into the mash.
    """
    opening = gelatinisation_range(material)
    if opening is None:
        return None
    if cook_degC is not None and not material.malted:
        return np.asarray(max(cook_degC, settled_mash_degC) - complete_degC(opening, 0.0, draws))
    return np.asarray(settled_mash_degC - complete_degC(opening, wort_g_per_100g, draws))


def gelatinisation_board(
    shares: FloatArray,
    materials: Sequence[Material],
    settled_mash_degC: float,
    cook_degC: float | None,
    wort_g_per_100g: FloatArray,
    runs: Runs,
    draws: Draws,
    ways: Ways | None = None,
) -> Board | None:
    """The grain furthest below its temperature; None when the bill holds no raw grain and its malt is safe.

    `shares` (lots,), `materials` one a lot, `wort_g_per_100g` (members,), the strength of the wort collected; `ways` is
    what the mash is, one stand at the settled temperature where it is not given. Of a mash with rests that temperature
    is the hottest in which malt converts.
    """
    ways = ways or Ways(settled_mash_degC, settled_mash_degC, USUAL_STAND_MIN, cook_degC=cook_degC)
    margins = []
    for share, material in zip(shares, materials, strict=True):
        margin = margin_degC(material, settled_mash_degC, cook_degC, wort_g_per_100g, draws) if share > 0.0 else None
        if margin is not None:
            margins.append((material, np.broadcast_to(margin, wort_g_per_100g.shape)))
    if not margins:
        return None
    chance = [runs.chance(margin < 0.0) for _, margin in margins]
    raw = any(not material.malted for material, _ in margins)
    if not raw and max(chance) == 0.0:
        return None
    least = np.min([margin for _, margin in margins], axis=0)
    probability = runs.chance(least < 0.0)
    light = light_of(probability, True)
    worst = [material for (material, _), red in zip(margins, chance, strict=True) if red > 0.05]
    return _board(light, probability, least, runs, [m for m, _ in margins], worst, settled_mash_degC, ways)


def _board(
    light: Light,
    probability: float,
    least: FloatArray,
    runs: Runs,
    grains: Sequence[Material],
    worst: Sequence[Material],
    settled_mash_degC: float,
    ways: Ways,
) -> Board:
    rows = [r for m in (worst or grains) if (r := gelatinisation_range(m))]
    return Board(
        key="gelatinisation",
        title="Starch gelatinised",
        light=light,
        probability_red=probability,
        figure=Figure.of("gelatinisation_margin_degC", "hotter than needed", "degC", least, 1, runs, HOUSE),
        sentence=_sentence(worst or [m for m in grains if not m.malted] or grains, settled_mash_degC, ways),
        remedy="" if light is Light.GREEN else _opened_by(worst or grains, ways) or NO_WAY_LEFT,
        standing=rows[0].done_source.standing.value,
        source="; ".join(dict.fromkeys(row.done_source.text for row in rows)),
    )


def _sentence(grains: Sequence[Material], settled_mash_degC: float, ways: Ways) -> str:
    parts, cook_degC = [], ways.cook_degC
    mashed = f"{'the hottest rest is' if ways.rests else 'the mash settles'} at {settled_mash_degC:g}"
    for material in {(m.species, m.malted): m for m in grains}.values():
        opening = gelatinisation_range(material)
        cooked = cook_degC is not None and not material.malted
        place = f"the cooker reaches {cook_degC:g}" if cooked else mashed
        kind = "malted" if material.malted else "raw"
        if opening is not None:
            text = f"{kind} {material.species} needs {opening.done_low_degC:g}-{opening.done_high_degC:g} degC"
            parts.append(f"{text}, {place} degC")
    line = "; ".join(parts)
    return f"{line[:1].upper()}{line[1:]}."


def opening(shares: FloatArray, materials: Sequence[Material], ways: Ways) -> str:
    """What would open the starch of this grist in this mash, a sentence; where no way is left it says that.

    `shares` (lots,). Every grain counts that may stay shut at the temperature it meets.
    """
    held = [material for share, material in zip(shares, materials, strict=True) if share > 0.0]
    return _opened_by([material for material in held if _may_stay_closed(material, ways)], ways) or NO_WAY_LEFT


def _may_stay_closed(material: Material, ways: Ways) -> bool:
    opening = gelatinisation_range(material)
    if opening is None:
        return False
    if ways.cook_degC is not None and not material.malted:
        return ways.cook_degC < BEST_COOK_DEGC
    return opening.done_high_degC > ways.hottest_degC


def _opened_by(grains: Sequence[Material], ways: Ways) -> str:
    cooked = [grain for grain in grains if not grain.malted and ways.cook_degC is not None]
    mashed = [grain for grain in grains if grain not in cooked]
    raw = [grain for grain in mashed if not grain.malted and _high_degC(grain) > OPENS_DEGC]
    return either(
        f"{ways.verb} the mash hotter, towards {OPENS_DEGC + 0.5:g} degC" if mashed and ways.hotter else "",
        "cook the raw grain before the malt goes in, or take malt in its place; a longer stand does not open it"
        if raw
        else "",
        _cooked_by(cooked, ways),
    )


def _cooked_by(cooked: Sequence[Material], ways: Ways) -> str:
    """What the cooker has left to do."""
    highest = max((_high_degC(grain) for grain in cooked), default=0.0)
    if ways.cook_degC is not None and highest > ways.cook_degC:
        return f"raise the cook to {highest:g} degC, then let it down to the mash before the malt goes in"
    if not cooked or ways.cook_degC is None or ways.cook_degC >= BEST_COOK_DEGC:
        return ""
    pressed = ", which takes a vessel built for pressure" if ways.cook_degC >= BOILS_DEGC else ""
    return f"raise the cook above {ways.cook_degC:g} degC{pressed}"


def _high_degC(material: Material) -> float:
    opening = gelatinisation_range(material)
    return opening.done_high_degC if opening else 0.0
