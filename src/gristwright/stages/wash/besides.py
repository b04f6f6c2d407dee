"""What a wash makes besides alcohol: ranges of low standing, moved only by what was measured. See docs/wash.md.

Data: reference/tables/wash_besides.csv, wash_besides_moved.csv and .toml; priors/wash_besides.toml.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np

from gristwright.basics import BoolArray, Draws, FloatArray
from gristwright.numerics.draws import members_of
from gristwright.quantities.gravity import ETHANOL_20C_kg_m3
from gristwright.quantities.shown import plain
from gristwright.records.wash_besides import MadeBesides, WashConditions
from gristwright.reference import csv_rows, toml_table

TABLE, MOVED, LINES = "tables/wash_besides.csv", "tables/wash_besides_moved.csv", "tables/wash_besides_moved.toml"
# Grams of ethanol that a gram of lactic acid costs: both are two of one hexose.
ETHANOL_PER_LACTIC: Final = 46.068 / 90.078
# A mover is told when it holds in more of the members than this.
TOLD = 0.05
AS_GIVEN = "as the wash gives it"
Row: TypeAlias = dict[str, str]
# Yeasts that turn ferulic acid to 4-vinylguaiacol, and those of which it is not known.
CLOVE, CLOVE_UNSAID = ("clove ale",), ("", "distilling", "leaves maltotriose")
# Fields of a wash that stand for a row where they are given, with mg/L of one of their units.
GIVEN = {
    "lactic_acid": ("lactic_g_per_L", 1000.0),
    "glycerol": ("glycerol_g_per_L", 1000.0),
    "furfural": ("furfural_mg_per_L", 1.0),
}
NOT_SEEN = "None in a wash was seen."
# What is asked for where neither a field nor a range stands for a row.
ASKED = {"lactic_acid": "Give the lactic acid of the wash.", "furfural": "Give what the wort held and the wash left."}


# What the range of beers already holds.
OF_BEER = frozenset(("cool", "boiled", "other_yeast", "lager"))
BREWERS = ("ale", "clove ale", "lager")


@dataclass(frozen=True)
class _Usual:
    """The usual range of a row: its middle [mg/L], at which strength and warmth, and its width over the wash's."""

    middle: float
    abv_pct: float
    degC: float
    spread: float
    standing: str
    source: str


@dataclass(frozen=True)
class _Moves:
    """What movers do to one row: a factor, and a power of its spread; both (members,)."""

    factor: FloatArray
    spread: FloatArray
    words: tuple[str, ...]


def besides(wash: WashConditions, draws: Draws) -> tuple[MadeBesides, ...]:
    """Every thing of the table in a wash, mg/L; values (members,), or None with the reason.

    `draws` hold priors/wash_besides.toml. A mover whose size was not seen is said in words and widens the range; it
    moves no middle.
    """
    outside = _outside(wash)
    rows = {row["key"]: row for row in csv_rows(TABLE)}
    found: dict[str, MadeBesides] = {}
    for key, row in rows.items():
        found[key] = _without(row, outside) if outside else _made(row, wash, draws, found)
    return tuple(found.values())


def line(key: str) -> float:
    """Where a mover begins, in the unit of its name."""
    return float(toml_table(LINES)["line"][key]["value"])


def _usual(row: Row, beer: bool) -> _Usual:
    """The usual range of a wash, or of a beer, which is drawn over its own width."""
    wash = float(np.log(float(row["high"]) / float(row["low"])))
    if not beer:
        middle = float(np.sqrt(float(row["low"]) * float(row["high"])))
        return _Usual(middle, float(row["at_abv_pct"]), line("warmth_most_degC"), 1.0, row["standing"], row["source"])
    low, high = float(row["beer_low"]), float(row["beer_high"])
    return _Usual(
        float(np.sqrt(low * high)), line("beer_abv_pct"), line("beer_degC"), float(np.log(high / low)) / wash,
        "published", f"beers hold {row['beer_low']} to {row['beer_high']} mg/L ({row['beer_source']})",
    )  # fmt: skip


def _outside(wash: WashConditions) -> str:
    """Why nothing is said of a wash that lies, at its middle, beyond everything that figures were seen of."""
    for name, limit in toml_table(LINES)["range"].items():
        value = float(np.nanmedian(getattr(wash, name)))
        least, most = float(limit["least"]), float(limit["most"])
        if not least <= value <= most:
            what, unit = {
                "abv_pct": ("A wash", "%vol"),
                "main_degC": ("Main hours", "degC"),
                "original_gravity_degP": ("A wort", "degP"),
            }[name]
            return f"{what} of {plain(value, 1)} {unit}: no figure was seen outside {least:g} to {most:g} {unit}."
    return ""


def _made(row: Row, wash: WashConditions, draws: Draws, before: Mapping[str, MadeBesides]) -> MadeBesides:
    given = _given(row, wash)
    if given is not None:
        return _answer(row, np.broadcast_to(given, (members_of(draws),)), _cost(row, given), "derived", AS_GIVEN)
    if row["group"] == "phenol" and wash.barley_wheat_rye <= 0.0:
        return _without(row, "The grist holds no barley, wheat or rye; of other grain no figure was seen.")
    if row["key"] == "methylbutanol_2":
        # One draw for both amyl alcohols: of these the ratio is known better than the amount.
        other = before["methylbutanol_3"]
        assert other.values is not None
        return _answer(row, other.values / draws["wash_besides.amyl_ratio"], other.moved)
    if f"wash_besides.{row['key']}" not in draws:
        often = f" Usual are {row['low']} to {row['high']} mg/L ({row['standing']})." if row["low"] else ""
        return _without(row, f"No amount is worked out.{often} {ASKED.get(row['key'], NOT_SEEN)}")
    beer = bool(row["beer_low"]) and _brewed(wash)
    usual = _usual(row, beer)
    moves = _moves(row, wash, draws, usual, OF_BEER if beer else frozenset())
    scale = wash.abv_pct / usual.abv_pct if row["follows_alcohol"] == "yes" else 1.0
    drawn = draws[f"wash_besides.{row['key']}"] ** moves.spread
    values = usual.middle * scale * moves.factor * drawn
    return _answer(row, values, moves.words, usual.standing, usual.source)


def _brewed(wash: WashConditions) -> bool:
    return wash.boiled and wash.yeast in BREWERS


def _given(row: Row, wash: WashConditions) -> FloatArray | None:
    """What the wash itself says of a row [mg/L]."""
    if row["key"] not in GIVEN:
        return None
    name, to_mg = GIVEN[row["key"]]
    value: FloatArray | None = getattr(wash, name)
    return None if value is None else np.asarray(value * to_mg)


def _cost(row: Row, mg_per_L: FloatArray) -> tuple[str, ...]:
    """The alcohol that lactic acid took, in words."""
    if row["key"] != "lactic_acid":
        return ()
    lost = float(np.median(mg_per_L)) / 1000.0 * ETHANOL_PER_LACTIC * 100.0 / ETHANOL_20C_kg_m3
    return (f"lactic acid took the sugar of about {plain(lost, 2)} %vol of alcohol",)


def _answer(row: Row, values: FloatArray, moved: tuple[str, ...], standing: str = "", source: str = "") -> MadeBesides:
    return MadeBesides(
        row["key"], row["words"], row["unit"], np.asarray(values), standing or row["standing"],
        source or row["source"], moved, row["follows_alcohol"] == "yes", row["marker"],
    )  # fmt: skip


def _without(row: Row, why: str) -> MadeBesides:
    return MadeBesides(
        row["key"], row["words"], row["unit"], None, row["standing"], row["source"], (),
        row["follows_alcohol"] == "yes", row["marker"], why,
    )  # fmt: skip


def _moves(row: Row, wash: WashConditions, draws: Draws, usual: _Usual, left_out: frozenset[str]) -> _Moves:
    members = members_of(draws)
    factor, spread, words = np.ones(members), np.ones(members), []
    for mover in _movers_of(row):
        if mover["mover"] in left_out:
            continue
        holds = np.broadcast_to(MOVERS[mover["mover"]](wash), (members,))
        if not np.mean(holds) > TOLD:
            continue
        factor = factor * np.where(holds, _size(mover, wash, draws, usual), 1.0)
        spread = spread + np.where(holds, float(mover["widens"]) - 1.0, 0.0)
        words.append(mover["words"])
    return _Moves(factor, usual.spread * spread, tuple(words))


def _movers_of(row: Row) -> Iterator[Row]:
    return (mover for mover in csv_rows(MOVED) if mover["thing"] in (row["key"], row["group"]))


def _size(mover: Row, wash: WashConditions, draws: Draws, usual: _Usual) -> FloatArray | float:
    """The factor of a mover whose size was seen; 1 of any other."""
    if mover["moves"] == "per K":
        warm = np.clip(wash.main_degC, line("warmth_least_degC"), line("warmth_most_degC"))
        return np.asarray(np.exp(draws[mover["by"]] * (warm - usual.degC)))
    return float(mover["by"]) if mover["moves"] == "times" else 1.0


def _known(value: FloatArray | None, holds: Callable[[FloatArray], BoolArray]) -> BoolArray:
    return np.asarray(False) if value is None else holds(value)


def _late(wash: WashConditions) -> BoolArray:
    """Whether bacteria had their time: by lactic acid, else by pH, else by the hours of a wort that was not boiled."""
    if wash.lactic_g_per_L is not None:
        return np.asarray(wash.lactic_g_per_L >= line("late_lactic_g_per_L"))
    if wash.pH is not None:
        return np.asarray(wash.pH < line("late_pH"))
    return np.asarray(wash.hours > line("late_hours") and not wash.boiled)


def _below(name: str, key: str) -> Callable[[WashConditions], BoolArray]:
    return lambda wash: _known(getattr(wash, name), lambda value: np.asarray(value < line(key)))


def _above(name: str, key: str) -> Callable[[WashConditions], BoolArray]:
    return lambda wash: _known(getattr(wash, name), lambda value: np.asarray(value > line(key)))


# When each mover of the table holds.
MOVERS: dict[str, Callable[[WashConditions], BoolArray]] = {
    "warmth": lambda wash: np.asarray((wash.main_degC < line("warmth_most_degC")) | _brewed(wash)),
    "cool": _below("main_degC", "cool_degC"),
    "over_25": _above("main_degC", "warmth_most_degC"),
    "over_30": _above("main_degC", "more_degC"),
    "over_34": _above("peak_degC", "death_degC"),
    "fan_low": _below("fan_mg_per_L", "fan_low_mg_per_L"),
    "fan_high": _above("fan_mg_per_L", "fan_high_mg_per_L"),
    "fan_spent": _below("fan_left_mg_per_L", "fan_spent_mg_per_L"),
    "fan_unknown": lambda wash: np.asarray(wash.fan_mg_per_L is None),
    "strong": _above("original_gravity_degP", "strong_degP"),
    "pitch_low": _below("pitch_million_per_mL", "pitch_low_million_per_mL"),
    "pitch_high": _above("pitch_million_per_mL", "pitch_high_million_per_mL"),
    "late": _late,
    "short": lambda wash: np.asarray(wash.hours < line("short_hours")),
    "boiled": lambda wash: np.asarray(wash.boiled),
    "other_yeast": lambda wash: np.asarray(wash.yeast not in ("", "distilling")),
    "lager": lambda wash: np.asarray(wash.yeast == "lager"),
    "clove_no": lambda wash: np.asarray(wash.yeast not in (*CLOVE, *CLOVE_UNSAID)),
    "clove_unsaid": lambda wash: np.asarray(wash.yeast in CLOVE_UNSAID),
    "barley_alone": lambda wash: np.asarray(wash.wheat_rye < line("wheat_rye_share")),
}
