"""What is known of each grain, from one table: a grain stands there whole, or the table is refused by name.

Data: reference/tables/grains.csv, grains.toml; pages: docs/reference.md, docs/grist.md.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from gristwright.basics import Problem, Refused, Source, Standing, refuse_if_any
from gristwright.reference import grain_rows
from gristwright.reference.grain_rows import FILE, Row
from gristwright.reference.load import csv_rows, toml_table


@dataclass(frozen=True)
class Opening:
    """Where the starch of one grain opens in thin mash, raw or malted [degC]; `width_K` of the granules of one lot."""

    done_low_degC: float
    done_high_degC: float
    half_low_degC: float
    half_high_degC: float
    width_K: float
    done_source: Source
    half_source: Source


@dataclass(frozen=True)
class Cooking:
    """Share of a raw grain's best alcohol at some cooks [degC], straight between them and held at the ends.

    `measured_degC` are the lowest and the highest cook that were measured.
    """

    degC: tuple[float, ...]
    opened: tuple[float, ...]
    measured_degC: tuple[float, float]


@dataclass(frozen=True)
class Raw:
    """What a grain is unmalted: its opening, its place in the cooker, its efficiency's prior, what a cook does."""

    opening: Opening
    goes_in_first: bool
    efficiency: str
    cooking: Cooking | None  # None: alike at every cook


@dataclass(frozen=True)
class Mashed:
    """What a grain brings to mash and bed. `raw` or `malt` is None where the table does not keep it so."""

    husk: bool
    pentosan_pct: float
    sticky: bool
    protein_factors: tuple[float, ...]
    raw: Raw | None
    malt: Opening | None


@dataclass(frozen=True)
class Grain:
    """One grain: its names, what the law counts it as, and what it is in the mash; None for one known by name alone."""

    name: str
    words: tuple[str, ...]
    law: str
    mashed: Mashed | None


@cache
def grains() -> dict[str, Grain]:
    """Every grain by name, in the order of the table. Raises Refused with every cell that is half there."""
    rows = {row["grain"]: row for row in csv_rows(FILE)}
    refuse_if_any(grain_rows.problems(csv_rows(FILE)))
    return {name: _grain(row, rows) for name, row in rows.items()}


def grain(name: str, where: str = "grain") -> Grain:
    """The grain of that name. Raises Refused for one that the table does not hold."""
    if name in grains():
        return grains()[name]
    known = ", ".join(grains())
    raise Refused([Problem(where, f"{name!r} is no grain of {FILE}.", f"Known are: {known}.")])


def mashed(name: str, where: str = "grain") -> Mashed:
    """What a grain brings to the mash. Raises Refused for one of which the table keeps the name alone."""
    facts = grain(name, where).mashed
    if facts is not None:
        return facts
    known = ", ".join(each.name for each in grains().values() if each.mashed)
    raise Refused([Problem(where, f"{name!r} is mashed = no in {FILE}: nothing is known of it.", f"Known: {known}.")])


def raw(name: str, where: str = "grain") -> Raw:
    """What a raw grain is. Raises Refused where the table does not keep it raw."""
    facts = mashed(name, where).raw
    if facts is None:
        raise Refused([_not_kept(name, "raw", where)])
    return facts


def opening(name: str, malted: bool, where: str = "grain") -> Opening:
    """Where the starch of a grain opens. Raises Refused where the table does not keep it raw, or malted."""
    if not malted:
        return raw(name, where).opening
    facts = mashed(name, where).malt
    if facts is None:
        raise Refused([_not_kept(name, "malt", where)])
    return facts


def _not_kept(name: str, side: str, where: str) -> Problem:
    columns = ", ".join(column.name for column in grain_rows.columns() if column.asked == side and not column.empty)
    said = "malted" if side == "malt" else "raw"
    return Problem(where, f"{name} is not kept {said} in {FILE}.", f"Fill its columns {columns}.")


def usual() -> str:
    """The grain that a malt is of when nobody names one."""
    return str(toml_table(grain_rows.WORDS)["usual"])


def kept_raw() -> tuple[str, ...]:
    """The grains that can be mashed raw."""
    return tuple(each.name for each in grains().values() if each.mashed and each.mashed.raw)


def cooked_first() -> tuple[str, ...]:
    """The raw grains that are cooked from the first water on."""
    return tuple(name for name in kept_raw() if raw(name).goes_in_first)


def sticky() -> tuple[str, ...]:
    """The grains whose mash is thick and foams."""
    return tuple(each.name for each in grains().values() if each.mashed and each.mashed.sticky)


def protein_factors() -> tuple[float, ...]:
    """What nitrogen may be multiplied by to be printed as protein, of whatever grain; the largest first."""
    factors = {factor for each in grains().values() if each.mashed for factor in each.mashed.protein_factors}
    return tuple(sorted(factors, reverse=True))


def of_law(kind: str) -> tuple[str, ...]:
    """The grains that the law counts as one kind: cereal, pseudocereal."""
    return tuple(each.name for each in grains().values() if each.law == kind)


def spellings() -> dict[str, str]:
    """Every word for a grain, English and German -> its name."""
    return {word: each.name for each in grains().values() for word in each.words}


def _grain(row: Row, rows: dict[str, Row]) -> Grain:
    sides = row["mashed"].split()
    brought = None if sides == ["no"] else _mashed(row, rows, sides)
    return Grain(row["grain"], tuple(row["words"].split()), row["law"], brought)


def _mashed(row: Row, rows: dict[str, Row], sides: list[str]) -> Mashed:
    return Mashed(
        husk=row["husk"] == "yes",
        pentosan_pct=float(row["pentosan_pct"]),
        sticky=row["sticky"] == "yes",
        protein_factors=tuple(map(float, row["protein_factors"].split())),
        raw=_raw(row, rows) if "raw" in sides else None,
        malt=_opening(row, "malt") if "malt" in sides else None,
    )


def _raw(row: Row, rows: dict[str, Row]) -> Raw:
    return Raw(_opening(row, "raw"), row["goes_in"] == "first", row["raw_efficiency"], _cooking(row, rows))


def _opening(row: Row, side: str) -> Opening:
    done_low, done_high = (float(row[f"{side}_done_{end}_degC"]) for end in ("low", "high"))
    width = float(row[f"{side}_width_K"])
    low, high = (row[f"{side}_half_{end}_degC"] for end in ("low", "high"))
    rule = toml_table(grain_rows.WORDS)["half_open"]
    return Opening(
        done_low,
        done_high,
        float(low) if low else done_low + float(rule["above_low_widths"]) * width,
        float(high) if high else done_high - float(rule["below_high_widths"]) * width,
        width,
        source_of(row["grain"], f"{side}_done"),
        source_of(row["grain"], f"{side}_half"),
    )


def source_of(name: str, fact: str) -> Source:
    """What one fact of one grain rests on."""
    entry = grain_rows.source_entry(name, fact) or {}
    return Source(entry["source"], Standing(entry["standing"]), entry.get("note", ""))


def _cooking(row: Row, rows: dict[str, Row]) -> Cooking | None:
    said = row["cooked"].split()
    if said[0] == "as":
        return _cooking(rows[said[1]], rows)
    if said == ["alike"]:
        return None
    litres = grain_rows.points(row["cooked"])
    best = max(litres.values())
    shares = {degC: value / best for degC, value in litres.items()} | grain_rows.points(row["cooked_estimate"])
    degC = tuple(sorted(shares))
    return Cooking(degC, tuple(shares[at] for at in degC), (min(litres), max(litres)))
