"""The settled course cut into legs, and the temperature that the mash really has on them. See docs/mash_simulation.md.

A leg is a straight piece without any event inside. Where the settled temperature jumps, the mash follows with a
first-order time constant, so that it passes through the range between in its real time.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, inf

import numpy as np

from gristwright.basics import FloatArray
from gristwright.records.mash import MashProgramme

STEP_S = 10.0
# After a jump the mash changes fast: this long, and so many times finer.
LIVELY_S, FINER = 120.0, 4
# No step takes the mash further than this: starch opens and enzymes die by a factor of two in a degree.
MOST_K = 0.5
# Once the first wort is drawn little is left to convert: steps so many times as long.
LATER = 2.0


@dataclass(frozen=True)
class Leg:
    """A straight piece of the settled course, in seconds and degC, and in how many equal steps it is taken."""

    start_s: float
    end_s: float
    from_degC: float
    to_degC: float
    steps: int
    jumps: bool  # the settled temperature jumps where it begins

    @property
    def step_s(self) -> float:
        """Length of one step [s]."""
        return (self.end_s - self.start_s) / self.steps

    def settled_degC(self, seconds: FloatArray) -> FloatArray:
        """The settled temperature at times within the leg; shape of the input."""
        share = (seconds - self.start_s) / (self.end_s - self.start_s)
        return np.asarray(self.from_degC + share * (self.to_degC - self.from_degC))


def legs(programme: MashProgramme, step_s: float = STEP_S, record_min: float | None = None) -> list[Leg]:
    """The legs of a programme in order; cut at every corner, charge, draw-off and time to be recorded."""
    cuts = sorted(_cuts(programme, record_min))
    legs_so_far: list[Leg] = []
    last: float | None = None
    first_drawn_s = 60.0 * min((draw.at_min for draw in programme.draw_offs), default=inf)
    for start, end, jumped_s in _pieces(programme, cuts):
        before, after = _settled(programme, start, False), _settled(programme, end, True)
        fine = FINER if start - jumped_s < LIVELY_S - 1e-9 else 1
        longer = LATER if start > first_drawn_s - 1e-6 else 1.0
        climb = ceil(abs(after - before) / MOST_K - 1e-9)
        steps = max(ceil((end - start) * fine / (longer * step_s) - 1e-9), climb, 1)
        legs_so_far.append(Leg(start, end, before, after, steps, last is None or abs(before - last) > 1e-9))
        last = after
    return legs_so_far


def _cuts(programme: MashProgramme, record_min: float | None) -> set[float]:
    minutes = {corner.at_min for corner in programme.corners}
    minutes |= {charge.at_min for charge in programme.charges} | {draw.at_min for draw in programme.draw_offs}
    if record_min:
        minutes |= set(np.arange(0.0, programme.end_min, record_min))
    cuts = {round(60.0 * minute, 6) for minute in minutes}
    lively = {jump + LIVELY_S for jump in _jumps(programme)}
    return cuts | {second for second in lively if second < 60.0 * programme.end_min}


def _jumps(programme: MashProgramme) -> list[float]:
    """When the mash begins to change fast [s]: a step of the settled temperature, or grain let in."""
    pairs = pairwise(programme.corners)
    steps = {60.0 * a.at_min for a, b in pairs if a.at_min == b.at_min and a.settled_degC != b.settled_degC}
    grain = {60.0 * charge.at_min for charge in programme.charges if charge.grains}
    return sorted({0.0} | steps | grain)


def _pieces(programme: MashProgramme, cuts: list[float]) -> Iterator[tuple[float, float, float]]:
    """Start, end and the last jump before each piece [s]."""
    jumps = np.round(_jumps(programme), 6)
    for start, end in pairwise(cuts):
        yield start, end, float(jumps[jumps <= start + 1e-6].max())


def _settled(programme: MashProgramme, second: float, left: bool) -> float:
    """The settled temperature at a time, seen from the left or the right of a step."""
    pairs = list(pairwise(programme.corners))
    fitting = [
        (a, b) for a, b in pairs if b.at_min > a.at_min and 60 * a.at_min - 1e-5 <= second <= 60 * b.at_min + 1e-5
    ]
    a, b = fitting[0] if left else fitting[-1]
    share = (second / 60.0 - a.at_min) / (b.at_min - a.at_min)
    return a.settled_degC + min(max(share, 0.0), 1.0) * (b.settled_degC - a.settled_degC)


@dataclass
class Lag:
    """How far each member's mash is behind the settled course since the last jump; arrays (members,)."""

    offset_K: FloatArray
    mixing_s: FloatArray
    behind_K: FloatArray
    since_s: float = 0.0

    def jump(self, leg: Leg, before_degC: FloatArray) -> None:
        """Begin again from where the mash stands, `before_degC`, towards the leg's settled temperature."""
        self.behind_K = before_degC - (leg.from_degC + self.offset_K)
        self.since_s = leg.start_s

    def mash_degC(self, leg: Leg, seconds: FloatArray) -> FloatArray:
        """Temperature of the mash (times, members) at times [s] within a leg."""
        settled = leg.settled_degC(seconds)[:, None] + self.offset_K
        fall = np.exp(-(seconds[:, None] - self.since_s) / self.mixing_s)
        return np.asarray(settled + self.behind_K * fall)
