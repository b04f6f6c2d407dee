"""What a distiller is to know of a simulated wash, each with its figures, its limit and a way out. See docs/wash.md."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from gristwright.basics import Band, BoolArray, Draws, FloatArray
from gristwright.numerics.runs import Runs
from gristwright.quantities.gravity import ETHANOL_20C_kg_m3
from gristwright.quantities.shown import plain, significant, with_interval
from gristwright.records.wash import WashEnd
from gristwright.records.wash_findings import GristInWash, WashFinding
from gristwright.records.washbacks import Washbacks
from gristwright.stages.wash.foam import CO2_m3_PER_KG, head_over_wash, most_filled_L
from gristwright.stages.wash.lines import ceiling_degC, line
from gristwright.stages.wash.living_wash import constants
from gristwright.stages.wash.setting import cooled, cooled_from_degC, row, yeast_kind

MALTOTRIOSE_LEFT = "leaves maltotriose"
CO2_CAUTION = (
    "No one enters a washback, pit or drain without a gas test, a permit and a second person; local rules decide."
)


@dataclass(frozen=True)
class SeenWash:
    """A simulated wash with all that it is judged by; arrays (members,)."""

    end: WashEnd
    runs: Runs
    draws: Draws
    backs: Washbacks
    brews: bool
    filled_L: float
    room: float  # empty share of a washback, 0 to 1
    original_gravity_degP: FloatArray
    fan_mg_per_L: FloatArray
    grist: GristInWash

    @property
    def left_pct(self) -> FloatArray:
        """What is left of the alcohol when the hours are over [%]."""
        return np.asarray(100.0 * np.maximum(1.0 - self.end.attenuated, 0.0))

    @property
    def died_of_heat(self) -> BoolArray:
        """Whether heat has killed the yeast before it was through."""
        return np.asarray((self.end.peak_degC >= line("dies_degC")) & (self.left_pct > line("left_watch_pct")))

    @property
    def ceiling_degC(self) -> float:
        """The warmest wash wanted."""
        return ceiling_degC(self.backs, self.brews)

    @property
    def what_is_lost(self) -> str:
        """What sugar that is left was to become, as this house counts it."""
        return "alcohol" if self.brews else "litres"

    @property
    def left(self) -> str:
        """What is left, in words."""
        return f"{self.said(self.left_pct)} % of the {self.what_is_lost}"

    def often(self, mask: BoolArray) -> bool:
        """Whether it happens often enough to be told."""
        return self.runs.chance(mask) > line("told_share")

    def said(self, values: FloatArray, decimals: int = 1) -> str:
        """Middle and band in words."""
        return with_interval(self.runs.band(values), decimals)

    def in_runs(self, mask: BoolArray) -> str:
        """How often, in words."""
        return f"in {100.0 * self.runs.chance(mask):.0f} % of the runs"


def findings(seen: SeenWash, ways: Mapping[str, str] | None = None) -> tuple[WashFinding, ...]:
    """Everything to know of a wash, what asks for something first; `ways` are ways out that were worked out, by key."""
    found = [one for look in LOOKS for one in look(seen)]
    found = [replace(one, way_out=ways[one.key]) if ways and ways.get(one.key) else one for one in found]
    return tuple(sorted(found, key=lambda one: not one.caution))


def _heat(seen: SeenWash) -> Iterator[WashFinding]:
    end, backs, ceiling = seen.end, seen.backs, seen.ceiling_degC
    above = end.peak_degC > ceiling
    course = (
        f"Set at {backs.set_degC:g} degC, a washback with {plain(seen.filled_L, 0)} L peaks at "
        f"{seen.said(end.peak_degC)} degC after {seen.said(end.peak_h, 0)} h"
    )
    if seen.often(above):
        what = f"{course}: above the {ceiling:g} degC wanted at most {seen.in_runs(above)}."
        yield WashFinding("hot", what, "Set the washback lower, pitch less, or cool it.")
    else:
        yield WashFinding("peak", f"{course}; {ceiling:g} degC is wanted at most.{_why(seen)}", caution=False)
    if seen.often(seen.died_of_heat):
        what = (
            f"Yeast dies of heat {seen.in_runs(seen.died_of_heat)}: at the end "
            f"{seen.said(100.0 * end.yeast_dead_share, 0)} % of it is dead, {seen.left} is not made, "
            "and the gravity stays high."
        )
        yield WashFinding("yeast_dies", what, "Set the washback lower, or cool it.")


def _why(seen: SeenWash) -> str:
    """Why a wash does not get hot."""
    end, backs = seen.end, seen.backs
    if cooled(backs, seen.brews):
        taken = seen.runs.band(end.cooled_MJ_per_m3).middle
        if taken < 1.0:
            return " Its cooling has nothing to do."
        return f" Cooling from {cooled_from_degC(backs, seen.brews):g} degC takes {plain(taken, 0)} MJ from a m3."
    rise = end.heat_MJ_per_m3 / constants()["wash_kJ_per_L_K"]
    if seen.runs.band((end.peak_degC - backs.set_degC) / np.maximum(rise, 1e-9)).middle < line("small_share"):
        return " Much of its heat leaves through the wall."
    return ""


def _cooling(seen: SeenWash) -> Iterator[WashFinding]:
    backs = seen.backs
    if backs.cooling and backs.cooling_m2 is not None:
        from_degC = cooled_from_degC(backs, seen.brews)
        over = seen.end.peak_degC > max(from_degC, backs.set_degC) + line("over_cooling_K")
        if seen.often(over):
            what = (
                f"A cooling surface of {backs.cooling_m2:g} m2 is too small: from {from_degC:g} degC on the wash rises "
                f"to {seen.said(seen.end.peak_degC)} degC {seen.in_runs(over)}."
            )
            yield WashFinding("cooling_small", what, "More surface, or set the washback lower.")
    taken = _assumed(seen)
    if taken:
        yield WashFinding("assumed", f"Not stated of the washbacks, and taken: {'; '.join(taken)}.",
                          "State them in the plant file.", caution=False)  # fmt: skip


def _assumed(seen: SeenWash) -> list[str]:
    """What the house does not state and a wash hangs on."""
    backs, taken = seen.backs, []
    if not backs.cooling:
        taken.append("cooling that is enough" if seen.brews else "no cooling")
    elif backs.cooling != "none" and backs.cooling_m2 is None:
        taken.append("a cooling surface that is enough")
    bands = {
        "a room of {} degC": (backs.room_degC, "wash.room_degC"),
        "{} million cells/mL": (backs.pitch_million_per_mL, "wash.pitch_million_per_mL"),
    }
    for words, (stated, prior) in bands.items():
        if stated is None:
            band = seen.runs.band(seen.draws[prior])
            taken.append(words.format(f"{plain(band.low, 0)} to {plain(band.high, 0)}"))
    if not backs.wall:
        taken.append("walls between wood and bare steel")
    if backs.ceiling_degC is None:
        taken.append(f"a ceiling of {seen.ceiling_degC:g} degC")
    return taken


def _through(seen: SeenWash) -> Iterator[WashFinding]:
    end, backs, left = seen.end, seen.backs, seen.left_pct
    if yeast_kind(backs, seen.brews) == MALTOTRIOSE_LEFT:
        what = f"The yeast leaves maltotriose: {seen.said(end.sugar_left_g_per_L, 0)} g/L of sugar stays in the wash"
        if seen.brews:
            yield WashFinding("leaves_maltotriose", f"{what}.", caution=False)
        else:
            what = f"{what}, {seen.said(left)} % of the litres."
            yield WashFinding("leaves_maltotriose", what, "A distiller's yeast takes it.")
        return
    if not seen.often(left > line("left_red_pct")) or seen.often(seen.died_of_heat):
        return
    hours, stops = backs.hours, seen.runs.band(end.stops_h)
    lost = f"{seen.left} is left in sugar"
    if stops.middle >= hours - 3.0:
        what = f"Not fermented out in {hours:g} h: {lost}, and it still ferments."
        yield WashFinding("short_hours", what, "Ferment longer, pitch more or set it warmer.")
    else:
        what = f"The fermentation sticks after {plain(stops.middle, 0)} h of {hours:g}: {lost}."
        way_out = "Look at temperature log, living yeast, amino nitrogen and a forced test of the wort."
        yield WashFinding("stuck", what, way_out)


def _yeast(seen: SeenWash) -> Iterator[WashFinding]:
    backs, end, kind = seen.backs, seen.end, row("yeasts", yeast_kind(seen.backs, seen.brews))
    if backs.pitch_million_per_mL is not None:
        alive_share = seen.draws["wash.viability_pct"] if backs.viability_pct is None else backs.viability_pct
        alive = float(np.mean(backs.pitch_million_per_mL * alive_share / 100.0))
        least = line("alive_million_per_mL")
        if alive < least:
            wanted = backs.pitch_million_per_mL * least / alive
            what = (
                f"{alive:.1f} million living cells/mL at pitching are under {least:g}: the wash is warmest only after "
                f"{seen.said(end.peak_h, 0)} h and {seen.left} is left."
            )
            yield WashFinding("underpitched", what, f"Pitch at least {wanted:.1f} million cells/mL.")
    # A wash that uses it up and grows as much yeast as another has had enough.
    poor = (seen.left_pct > line("left_watch_pct")) | (end.yeast_made_g_per_L < line("yeast_short_g_per_L"))
    used_up = (end.fan_left_mg_per_L < line("fan_used_up_mg_per_L")) & poor
    if seen.often(used_up):
        what = (
            f"Amino nitrogen is short: {seen.in_runs(used_up)} hardly any is left of "
            f"{seen.said(seen.fan_mg_per_L, 0)} mg/L, and {seen.said(end.yeast_made_g_per_L)} g/L of dry yeast grows: "
            f"the wash is slower, and {seen.left} is left when its hours are over."
        )
        yield WashFinding("fan_short", what, _more_nitrogen(seen.grist))
    if seen.runs.band(seen.original_gravity_degP).middle > line("strong_degP"):
        what = (
            f"A wort of {seen.said(seen.original_gravity_degP)} degP is strong, above {line('strong_degP'):g}: it "
            f"makes more heat and alcohol for the yeast to bear, and {seen.left} "
            "is left."
        )
        yield WashFinding("strong", what, "More water, more yeast, a lower set temperature.")
    abv, least_limit = 100.0 * end.ethanol_g_per_L / ETHANOL_20C_kg_m3, float(kind["ethanol_limit_low_pct"])
    if seen.runs.band(abv).middle > line("near_limit") * least_limit:
        bears = f"{least_limit:g} to {kind['ethanol_limit_high_pct']} %vol"
        what = f"{seen.said(abv)} %vol is near what {_article(kind['words'])} bears, {bears}."
        yield WashFinding("ethanol_limit", what, "A weaker wort, or a yeast that bears more.")


def _article(words: str) -> str:
    return f"{'an' if words[0] in 'aeiou' else 'a'} {words}"


def _more_nitrogen(grist: GristInWash) -> str:
    poor = [name for share, name in ((grist.raw_share, "raw grain"), (grist.dark_share, "dark malt")) if share > 0.0]
    place = f" in place of {' and '.join(poor)}" if poor else " rich in it"
    return f"More pale malt{place}; a yeast food only where the category allows it."


def _pace(seen: SeenWash) -> Iterator[WashFinding]:
    backs, end = seen.backs, seen.end
    peak = seen.runs.band(end.peak_h)
    if peak.middle > line("slow_peak_h") and yeast_kind(backs, seen.brews) != "lager":
        what = (
            f"A slow start: set at {backs.set_degC:g} degC the wash is warmest after {seen.said(end.peak_h, 0)} h, "
            f"where {line('slow_peak_h'):g} is late; bacteria have the more time."
        )
        yield WashFinding("slow", what, "Set it at 18 to 22 degC, or pitch more.")
    stops = seen.runs.band(end.stops_h)
    idle = backs.hours - stops.middle
    if idle >= line("idle_h"):
        what = (
            f"After {with_interval(stops, 0)} h of {backs.hours:g} less than 0.5 % of the {seen.what_is_lost} is still "
            f"made: the last {plain(idle, 0)} h add nothing but what bacteria make."
        )
        yield WashFinding("idle_hours", what, "Charge earlier, unless their flavour is wanted.", caution=False)


def _bacteria(seen: SeenWash) -> Iterator[WashFinding]:
    backs, end = seen.backs, seen.end
    dirty = backs.bacteria == "dirty"
    many = end.lactic_g_per_L > line("lactic_g_per_L")
    course = (
        f"{seen.said(end.lactic_g_per_L)} g/L of lactic acid and pH {seen.said(end.pH)} after {backs.hours:g} h, which "
        f"takes {seen.said(100.0 * end.lactic_cost)} % of the {seen.what_is_lost}"
    )
    if seen.often(many):
        what = f"Bacteria are likely to have their part: {course}."
        way_out = (
            "Wash and sterilise washbacks and lines." if dirty else "Charge earlier, or keep the washbacks cleaner."
        )
        yield WashFinding("infection", what, f"{way_out} Where their flavour is wanted it is no fault.")
    elif dirty:
        what = f"The house is stated as dirty: {course}."
        yield WashFinding("dirty", what, "Wash and sterilise washbacks, coolers and lines each time.")


def _head(seen: SeenWash) -> Iterator[WashFinding]:
    over, wash = head_over_rim(seen), 1.0 - seen.room
    if seen.often(over):
        head = 100.0 * wash * head_over_wash(seen.end, seen.grist, seen.draws)
        what = (
            f"Foam is likely to go over the rim, {seen.in_runs(over)}: at its most it stands {seen.said(head, 0)} % of "
            f"the washback high, and {100.0 * seen.room:.0f} % is empty."
        )
        litres = most_filled_L(seen.backs.volume_L, seen.runs.band(head_over_wash(seen.end, seen.grist, seen.draws)))
        yield WashFinding("foam", what, f"Fill no more than {_two(litres)} L, or fit foam cutters.")
    if seen.grist.whole_mash:
        what = "A whole mash lifts its grain: the cap holds gas back and lets it go at once when it is stirred."
        yield WashFinding("whole_mash", what, "Stir it from outside, with the lid shut.", caution=False)


def head_over_rim(seen: SeenWash) -> BoolArray:
    """Whether the foam stands higher than the washback; (members,)."""
    filled = 1.0 - seen.room
    return np.asarray(filled * head_over_wash(seen.end, seen.grist, seen.draws) > seen.room)


def _gas(seen: SeenWash) -> Iterator[WashFinding]:
    m3 = seen.filled_L / 1000.0 * CO2_m3_PER_KG
    most = seen.runs.band(m3 * seen.end.most_co2_kg_per_m3_h)
    air = most.high / (1e-6 * (line("air_ppm") - line("outdoor_ppm")))
    what = (
        f"One washback gives off {_rough(seen.runs.band(m3 * seen.end.co2_kg_per_m3))} m3 of carbon dioxide, at its "
        f"most {_rough(most)} m3/h: {_two(air)} m3/h of fresh air hold that at {line('air_ppm'):g} ppm."
    )
    yield WashFinding("co2", what, CO2_CAUTION, caution=False)


def _rough(band: Band) -> str:
    middle, low, high = (_two(value) for value in (band.middle, band.low, band.high))
    return middle if low == high else f"{middle} ({low} to {high})"


def _two(value: float) -> str:
    """The value to two significant digits."""
    return significant(float(f"{value:.2g}"), 2)


LOOKS = (_heat, _through, _cooling, _yeast, _pace, _bacteria, _head, _gas)
