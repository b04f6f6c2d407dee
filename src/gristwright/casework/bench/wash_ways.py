"""What would mend a wash: every way is run through the simulated wash on a few of the draws. See docs/wash.md."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np

from gristwright.basics import FloatArray
from gristwright.casework.bench.bench import DRAWS, FEW, GristBench
from gristwright.flowsheet.washing import Pitched
from gristwright.numerics.runs import Runs
from gristwright.quantities.shown import capital, plain, significant
from gristwright.records.bill import Bill
from gristwright.records.remedies import Alteration
from gristwright.records.wash import WashEnd
from gristwright.records.washbacks import Washbacks
from gristwright.stages.wash import simulation
from gristwright.stages.wash.lines import line
from gristwright.stages.wash.setting import bacteria_log10_per_mL, pitched, vessel
from gristwright.stages.wash.warnings import SeenWash

P = TypeVar("P")
COOLEST_DEGC, WARMEST_DEGC, LEAST_HOURS, MOST_HOURS, HOURS = 12.0, 24.0, 36.0, 132.0, 12.0
PITCHES = (0.75, 0.5)
MORE_PITCH = (1.5, 2.0, 3.0, 5.0)
SURFACES = (0.5, 0.7, 1.0, 1.4, 2.0, 3.0)
HEAT, GERMS = ("hot", "yeast_dies", "cooling_small"), ("infection", "dirty")
# Which ways mend what, the first of them first.
MENDS = {
    "hot": ("set_cooler", "pitch_less", "cooling_surface"),
    "yeast_dies": ("set_cooler", "pitch_less", "cooling_surface"),
    "cooling_small": ("cooling_surface", "set_cooler"),
    "short_hours": ("longer_fermentation", "pitch_more", "set_warmer"),
    "slow": ("set_warmer", "pitch_more"),
    "infection": ("clean_washbacks", "shorter_fermentation"),
    "dirty": ("clean_washbacks",),
}
WORKED_OUT = frozenset(MENDS)


@dataclass(frozen=True)
class WashWay:
    """A way out and the wash with it, on a few of the draws."""

    key: str
    words: str
    change: Alteration
    seen: SeenWash


@dataclass(frozen=True)
class WashWays:
    """The wash as it is, on a few of the draws, and the ways that mend something of it."""

    now: SeenWash
    tried: tuple[WashWay, ...]

    @property
    def by_key(self) -> dict[str, WashWay]:
        """The ways by what they do."""
        return {way.key: way for way in self.tried}


@dataclass(frozen=True)
class _Few:
    """One wash on a few of the draws, with what is needed to run it otherwise."""

    ready: Pitched
    now: SeenWash

    @property
    def backs(self) -> Washbacks:
        return self.now.backs

    def otherwise(self, houses: Sequence[Washbacks]) -> list[SeenWash]:
        """The wash in other washbacks, which have the same hours as each other: all in one batch."""
        if not houses:
            return []
        members, brews = len(self.now.runs.weights), self.now.brews
        parts = [self._in(backs, brews) for backs in houses]
        draws = {name: np.tile(column, len(houses)) for name, column in self.ready.draws.items()}
        one = Pitched(
            _side_by_side([part.wort for part in parts], members),
            _side_by_side([part.yeast for part in parts], members),
            _side_by_side([part.vessel for part in parts], members),
            draws,
        )
        end = one.run(None).end
        return [
            replace(self.now, backs=backs, end=_cut(end, slice(k * members, (k + 1) * members)))
            for k, backs in enumerate(houses)
        ]

    def _in(self, backs: Washbacks, brews: bool) -> Pitched:
        draws = self.ready.draws
        wort = replace(self.ready.wort, bacteria_log10_per_mL=bacteria_log10_per_mL(backs, draws, brews))
        return Pitched(wort, pitched(backs, draws, brews), vessel(backs, self.now.filled_L, draws, brews), draws)


def _side_by_side(parts: Sequence[P], members: int) -> P:
    return simulation.joined([simulation.cut(part, slice(0, members), members) for part in parts])


def ways(bench: GristBench, bill: Bill, seen: SeenWash, asked: Collection[str]) -> WashWays:
    """Ways that mend what is cautioned of (`asked`, keys of findings), each run again: the mildest that helps."""
    few = _few(bench, bill, seen)
    wanted = {key for one in asked for key in MENDS.get(one, ())}
    found: list[WashWay] = []
    for key, tries in TRIES.items():
        if key in wanted and (key != "pitch_less" or not any(way.key == "set_cooler" for way in found)):
            found += tries(few)
    return WashWays(few.now, tuple(found))


def ways_out(asked: Collection[str], found: WashWays, seen: SeenWash) -> dict[str, str]:
    """The ways out of each finding, in words; what heat does has its way out told once."""
    once = [key for key in asked if key != "yeast_dies" or "hot" not in asked]
    return {key: way_out(key, found, seen) for key in once}


def way_out(key: str, found: WashWays, seen: SeenWash) -> str:
    """The ways that mend one finding, as sentences; empty where none was found."""
    by_key = found.by_key
    said = [f"{capital(by_key[one].words)}: {_then(key, by_key[one])}." for one in MENDS.get(key, ()) if one in by_key]
    if key == "hot" and "set_cooler" not in by_key and seen.backs.set_degC > COOLEST_DEGC:
        said.insert(
            0, f"No set temperature down to {COOLEST_DEGC:g} degC keeps it there and ferments out in its hours."
        )
    return " ".join(said)


def _then(key: str, way: WashWay) -> str:
    """What a way does to what it is told beside."""
    seen = way.seen
    if key in HEAT:
        above = 100.0 * seen.runs.chance(seen.end.peak_degC > seen.ceiling_degC)
        return (
            f"it then peaks at {seen.said(seen.end.peak_degC)} degC, above {seen.ceiling_degC:g} in {above:.0f} % of "
            f"the runs, and {seen.left} is left"
        )
    if key in GERMS:
        return f"{seen.said(seen.end.lactic_g_per_L)} g/L of lactic acid, pH {seen.said(seen.end.pH)}"
    warmest = f"warmest after {seen.said(seen.end.peak_h, 0)} h, " if key == "slow" else ""
    return f"{warmest}{seen.left} is left"


def _few(bench: GristBench, bill: Bill, seen: SeenWash) -> _Few:
    shares, members = bench.shares(bill), min(FEW, len(bench.weights))
    ready = bench.memory.pitched.get((DRAWS, np.ascontiguousarray(shares).tobytes()))
    if ready is None:
        ready = bench.pitched(shares, {name: values[:members] for name, values in bench.draws.items()})[1]
    weights = bench.weights[:members] / bench.weights[:members].sum()

    def some(values: FloatArray) -> FloatArray:
        return np.asarray(values[:members]) if np.size(values) > 1 else values

    now = replace(
        seen,
        runs=Runs(weights),
        draws=ready.draws,
        end=_cut(seen.end, slice(0, members)),
        original_gravity_degP=some(seen.original_gravity_degP),
        fan_mg_per_L=some(seen.fan_mg_per_L),
        grist=replace(seen.grist, head_of_sticky=some(seen.grist.head_of_sticky)),
    )
    return _Few(ready, now)


def _cut(end: WashEnd, part: slice) -> WashEnd:
    return WashEnd(**{name: values[part] for name, values in vars(end).items()})


def _stays_cool(seen: SeenWash) -> bool:
    return not seen.often(seen.end.peak_degC > seen.ceiling_degC) and not seen.often(seen.died_of_heat)


def _ferments_out(seen: SeenWash) -> bool:
    return not seen.often(seen.left_pct > line("left_red_pct"))


def _way(key: str, words: str, seen: SeenWash, *fields: str) -> WashWay:
    change = Alteration(plant=tuple((f"washbacks.{name}", getattr(seen.backs, name)) for name in fields))
    return WashWay(key, words, change, seen)


def _cooler(few: _Few) -> Iterator[WashWay]:
    """The warmest set temperature that keeps the wash under the ceiling and lets it ferment out."""
    start = math.ceil(few.backs.set_degC) - 1
    tried = few.otherwise([replace(few.backs, set_degC=float(t)) for t in range(start, int(COOLEST_DEGC) - 1, -1)])
    through = [seen for seen in tried if _stays_cool(seen) and (_ferments_out(seen) or not _ferments_out(few.now))]
    for seen in through[:1]:
        yield _way("set_cooler", f"set it at {seen.backs.set_degC:g} degC", seen, "set_degC")


def _cells(few: _Few) -> float:
    """Cells pitched as they are stated, else the middle of what is taken [million/mL]."""
    stated = few.backs.pitch_million_per_mL
    return few.now.runs.band(few.now.draws["wash.pitch_million_per_mL"]).middle if stated is None else stated


def _fewer_cells(few: _Few) -> Iterator[WashWay]:
    """Fewer cells, at the set temperature and below it; never so few that the wash is underpitched."""
    cells, start = _cells(few), int(few.backs.set_degC)
    pitches = [share * cells for share in PITCHES if share * cells >= 1.2 * line("alive_million_per_mL")]
    houses = [
        replace(few.backs, set_degC=float(t), pitch_million_per_mL=pitch)
        for pitch in pitches
        for t in range(start, int(COOLEST_DEGC) - 1, -2)
    ]
    for seen in [seen for seen in few.otherwise(houses) if _stays_cool(seen) and _ferments_out(seen)][:1]:
        words = f"set it at {seen.backs.set_degC:g} degC with {seen.backs.pitch_million_per_mL:.0f} million cells/mL"
        yield _way("pitch_less", words, seen, "set_degC", "pitch_million_per_mL")


def _surface(few: _Few) -> Iterator[WashWay]:
    """The least cooling surface that keeps the wash under the ceiling: of its own cooling, else of a jacket."""
    now, backs = few.now, few.backs
    kind = backs.cooling if backs.cooling not in ("", "none") else "jacket"
    own = backs.cooled_from_degC
    from_degC = max(backs.set_degC, min(now.ceiling_degC - 1.0, 33.0) if own is None else own)
    least = _needs_m2(few, kind, from_degC)
    houses = [
        replace(backs, cooling=kind, cooling_m2=_round(least * share), cooled_from_degC=from_degC) for share in SURFACES
    ]
    enough = [seen for seen in few.otherwise(houses) if _stays_cool(seen)]
    for seen in enough[:1]:
        by = f"{'an' if kind[0] in 'ae' else 'a'} {kind} of {seen.backs.cooling_m2:g} m2"
        words = f"cool it by {by} from {from_degC:g} degC on"
        yield _way("cooling_surface", words, seen, "cooling", "cooling_m2", "cooled_from_degC")


def _needs_m2(few: _Few, kind: str, from_degC: float) -> float:
    """Surface that takes all the heat made at its most, at the middles [m2]."""
    now, water = few.now, few.ready.vessel.water_degC
    of_one = vessel(replace(few.backs, cooling=kind, cooling_m2=1.0), now.filled_L, now.draws, now.brews)  # type: ignore[arg-type]
    per_kg = now.end.heat_MJ_per_m3 / np.maximum(now.end.co2_kg_per_m3, 1e-9)
    heat_W = now.end.most_co2_kg_per_m3_h * per_kg * now.filled_L / 1000.0 * 1e6 / 3600.0
    per_m2 = np.maximum(of_one.cooling_W_per_K, 1e-9) * np.maximum(from_degC - water, 1.0)
    return now.runs.band(heat_W / per_m2).middle


def _round(m2: float) -> float:
    return max(float(significant(m2, 2).replace("\u202f", "")), 0.05)


def _longer(few: _Few) -> Iterator[WashWay]:
    """The fewest more hours in which it ferments out."""
    hours = few.backs.hours + HOURS
    while hours <= MOST_HOURS:
        (seen,) = few.otherwise([replace(few.backs, hours=hours)])
        if _ferments_out(seen):
            yield _way("longer_fermentation", f"ferment for {plain(hours, 0)} hours", seen, "hours")
            return
        hours += HOURS


def _shorter(few: _Few) -> Iterator[WashWay]:
    """The most hours in which bacteria have not had their part, and the wash ferments out."""
    hours = few.backs.hours - HOURS
    while hours >= LEAST_HOURS:
        (seen,) = few.otherwise([replace(few.backs, hours=hours)])
        if not _ferments_out(seen):
            return
        if not seen.often(seen.end.lactic_g_per_L > line("lactic_g_per_L")):
            yield _way("shorter_fermentation", f"ferment for {plain(hours, 0)} hours", seen, "hours")
            return
        hours -= HOURS


def _more_cells(few: _Few) -> Iterator[WashWay]:
    cells = _cells(few)
    houses = [replace(few.backs, pitch_million_per_mL=round(share * cells, 1)) for share in MORE_PITCH]
    for seen in [seen for seen in few.otherwise(houses) if _brisk(few, seen)][:1]:
        words = f"pitch {seen.backs.pitch_million_per_mL:g} million cells/mL"
        yield _way("pitch_more", words, seen, "pitch_million_per_mL")


def _warmer(few: _Few) -> Iterator[WashWay]:
    start = math.floor(few.backs.set_degC) + 1
    houses = [replace(few.backs, set_degC=float(t)) for t in range(start, int(WARMEST_DEGC) + 1)]
    for seen in [seen for seen in few.otherwise(houses) if _brisk(few, seen)][:1]:
        yield _way("set_warmer", f"set it at {seen.backs.set_degC:g} degC", seen, "set_degC")


def _brisk(few: _Few, seen: SeenWash) -> bool:
    """Whether a wash is no longer slow, ferments out, and is no hotter than wanted where it was not before."""
    in_time = seen.runs.band(seen.end.peak_h).middle <= line("slow_peak_h")
    return in_time and _ferments_out(seen) and (_stays_cool(seen) or not _stays_cool(few.now))


def _clean(few: _Few) -> Iterator[WashWay]:
    if few.backs.bacteria == "clean":
        return
    (seen,) = few.otherwise([replace(few.backs, bacteria="clean")])
    if seen.runs.band(seen.end.lactic_g_per_L).middle < 0.7 * few.now.runs.band(few.now.end.lactic_g_per_L).middle:
        yield _way("clean_washbacks", "wash and sterilise the washbacks and their lines each time", seen, "bacteria")


TRIES = {
    "set_cooler": _cooler,
    "pitch_less": _fewer_cells,
    "cooling_surface": _surface,
    "longer_fermentation": _longer,
    "shorter_fermentation": _shorter,
    "pitch_more": _more_cells,
    "set_warmer": _warmer,
    "clean_washbacks": _clean,
}
