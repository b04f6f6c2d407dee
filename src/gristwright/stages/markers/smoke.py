"""What a smoked malt holds of each marker: its total of phenols split by what was burnt, and never counted twice.

See docs/give_and_gain.md.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np

from gristwright.basics import FloatArray, Prior, Problem, Source, Standing
from gristwright.numerics.draws import FULL_SPAN_SD, sample
from gristwright.reference.load import csv_rows, toml_table
from gristwright.reference.type_names import smoke_named
from gristwright.stages.markers.rows import TOTAL, chains

GIVEN = Source("the content given for this malt", Standing.MEASURED)
SUM = Source("the sum of its parts", Standing.DERIVED)
# How far parts may stand from their total before one of the two is wrong [share].
ROUNDING = 0.01


@dataclass(frozen=True)
class SmokePart:
    """A marker's share of the total phenols [0..1], one standard deviation of it as a factor, and what it rests on."""

    share: float
    factor: float
    source: Source


@dataclass(frozen=True)
class Content:
    """What the malt holds of a marker [mg/kg]: every draw, the figure that adds up, and what it rests on."""

    drawn: FloatArray
    middle: float
    source: Source


@cache
def patterns() -> dict[str, dict[str, SmokePart]]:
    """The pattern of each smoke: marker -> its part of the total."""
    by_smoke: dict[str, dict[str, SmokePart]] = {}
    for row in csv_rows("tables/smoke_patterns.csv"):
        source = Source(row["source"], Standing(row["standing"]))
        by_smoke.setdefault(row["smoke"], {})[row["marker"]] = SmokePart(
            float(row["share"]), float(row["factor"]), source
        )
    return by_smoke


@cache
def parts() -> tuple[str, ...]:
    """The markers that make up the total."""
    return tuple(row["marker"] for row in chains() if row["part_of"] == TOTAL)


def way_out() -> str:
    """How to give a smoke, or to do without."""
    own = " ".join(f"--malt {marker}=…" for marker in parts())
    return f"Give --smoke {', '.join(patterns())}, or your own analysis by marker: {own}."


def problems(smoke: str, malt: Mapping[str, float]) -> list[Problem]:
    """Smoke that is not said or has no pattern, unless every marker is given; parts that do not fit their total."""
    own = {marker: malt[marker] for marker in parts() if marker in malt}
    whole = len(own) == len(parts())
    problems = []
    if not whole and not smoke.strip():
        what = "it is not said what the malt was smoked with, and each smoke has other phenols."
        problems.append(Problem("smoke", what, way_out()))
    elif not whole and smoke_named(smoke) not in patterns():
        what = f"{smoke!r} is no smoke whose pattern of phenols is known; known are {', '.join(patterns())}."
        problems.append(Problem("smoke", what, way_out()))
    total, sum_own = malt.get(TOTAL), sum(own.values())
    closed = whole or not _left(smoke, own)
    if total is not None and own and (sum_own > total or closed) and abs(sum_own - total) > ROUNDING * total:
        what = f"the parts given make {sum_own:g} mg/kg and the total {total:g}."
        problems.append(Problem("malt", what, "Mend one of them, or leave the total out: the parts make it."))
    return problems


def contents(smoke: str, malt: Mapping[str, float], members: int, seed: int) -> dict[str, Content]:
    """What the malt holds of each marker of smoke, markers without a share left out; given parts as they are.

    The total given less the parts given is split among the others by the pattern, so that in every draw the parts add
    up to it. Without a total the others follow from the parts given, by the pattern; without either the usual total of
    the type is split.
    """
    own = {marker: malt[marker] for marker in parts() if marker in malt}
    by_marker = {marker: Content(np.full(members, value), value, GIVEN) for marker, value in own.items()}
    left = _left(smoke, own)
    if left:
        kind = str(smoke_named(smoke))
        total, middle, said = _rest(kind, malt, own, members, seed)
        for marker, share in _shares(left, members, seed).items():
            part = left[marker]
            whole = _sum(left)
            source = Source(f"{said}, split by the pattern of {kind}: {part.source.text}", part.source.standing)
            by_marker[marker] = Content(total * share, middle * part.share / whole, source)
    return {marker: by_marker[marker] for marker in parts() if marker in by_marker}


def _left(smoke: str, own: Mapping[str, float]) -> dict[str, SmokePart]:
    """The parts of a smoke that are not given and have a share."""
    pattern = patterns().get(smoke_named(smoke) or "", {})
    return {marker: part for marker, part in pattern.items() if marker not in own and part.share > 0.0}


def _rest(
    smoke: str, malt: Mapping[str, float], own: Mapping[str, float], members: int, seed: int
) -> tuple[FloatArray, float, str]:
    """What is to be split among the parts not given [mg/kg], its middle, and what it is called."""
    given = sum(own.values())
    if TOTAL in malt:
        rest = max(malt[TOTAL] - given, 0.0)
        return np.full(members, rest), rest, "the total given" if not own else "the rest of the total given"
    told = {marker: part for marker, part in patterns()[smoke].items() if marker in own and part.share > 0.0}
    if told:
        # The usual total beside a part that was measured would be of another malt, and count its smoke twice.
        known = sum(own[marker] for marker in told)
        drawn = _shares(_left(smoke, {}), members, seed)
        share = np.sum([drawn[marker] for marker in told], axis=0)
        left = 1.0 - _sum(told)
        return np.asarray(known * (1.0 - share) / share), known * left / _sum(told), "what follows from the parts given"
    prior = usual_total(smoke)
    drawn_total, middle = sample([prior], members, seed)[prior.name], prior.arguments[0]
    said = "the rest of the type's usual total" if own else "the type's usual total"
    return np.maximum(drawn_total - given, 0.0), max(middle - given, 0.0), said


def _sum(pattern: Mapping[str, SmokePart]) -> float:
    return sum(part.share for part in pattern.values())


def usual_total(smoke: str) -> Prior:
    """The usual total of a smoke's malt [mg/kg], from the types table, as a lognormal distribution."""
    kinds = toml_table("tables/types.toml")["type"]
    smoked = next(key for key, entry in kinds.items() if entry.get("smoke") == smoke)
    rows = csv_rows("tables/types.csv")
    row = next(row for row in rows if (row["material"], row["field"]) == (smoked, "phenols_mg_per_kg"))
    low, middle, high, most = (float(row[name]) for name in ("low", "middle", "high", "most"))
    factor = (high / low) ** (1.0 / FULL_SPAN_SD)
    source = Source(row["source"], Standing(row["standing"]))
    name, meaning = f"marker.{TOTAL}.{smoke}", f"total phenols of malt smoked with {smoke}"
    return Prior(name, meaning, row["unit"], "lognormal", (middle, factor), 0.0, most, source)


def _shares(left: Mapping[str, SmokePart], members: int, seed: int) -> dict[str, FloatArray]:
    """Shares of what is to be split, (members,) each; they make one in every draw."""
    source = Source("", Standing.DERIVED)
    priors = [
        Prior(f"share.{marker}", marker, "share", "lognormal", (part.share, part.factor), 0.0, 1e6, source)
        for marker, part in left.items()
    ]
    drawn = sample(priors, members, seed)
    whole = np.sum([drawn[prior.name] for prior in priors], axis=0)
    return {marker: drawn[f"share.{marker}"] / whole for marker in left}
