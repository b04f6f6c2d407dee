"""What a grist brings of each marker into the spirit as filled, and whether it is likely felt.

See docs/give_and_gain.md. Data: reference/tables/markers.csv, odour_thresholds.csv, marker_cuts.csv.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache

import numpy as np

from gristwright.basics import Band, FloatArray, Standing
from gristwright.numerics.draws import SEED
from gristwright.quantities.shown import significant
from gristwright.records.markers_through import FeltVerdict, MarkerAmount, MarkerLab, OdourThreshold
from gristwright.records.wash_besides import WashAmount
from gristwright.reference.load import csv_rows
from gristwright.stages.markers import smoke as smoke_split
from gristwright.stages.markers.grist import MarkerSource, brings, smoked, weakest
from gristwright.stages.markers.limits import HouseFigures
from gristwright.stages.markers.model import MEMBERS, TINY, Through, band, steps_of, through_house
from gristwright.stages.markers.rows import TOTAL, Row, thresholds, told

UG_PER_MG = 1000.0
DOES_NOT_PASS = "does not pass"


def amounts(
    parts: Sequence[MarkerSource],
    house: HouseFigures,
    today: tuple[Sequence[MarkerSource], HouseFigures] | None = None,
    labs: Mapping[str, MarkerLab] | None = None,
    *,
    made: Mapping[str, WashAmount] | None = None,
    made_today: Mapping[str, WashAmount] | None = None,
    members: int = MEMBERS,
    seed: int = SEED,
) -> tuple[MarkerAmount, ...]:
    """Every marker that the parts of a grist can bring, in the order of the table, with its amount in the spirit.

    `today` is the present grist, followed on the same draws. A smoke that is not said or has no pattern leaves its
    markers without an amount, and they say why. `made` is what the wash of either is known to hold (`wash_amounts`).
    """

    def follow(
        grist: Sequence[MarkerSource], of: HouseFigures, told_by: Mapping[str, WashAmount] | None
    ) -> dict[str, Through]:
        return through_house([_followable(part) for part in grist], of, labs or {}, members, seed, made=told_by)

    through, present = follow(parts, house, made), follow(*today, made_today) if today else None
    found = []
    for row in told():
        bringing = [part for part in parts if brings(row, part)]
        if not bringing:
            continue
        if row["marker"] in through:
            was = (present.get(row["marker"]), today[1]) if present is not None and today else None
            found.append(_amount(row, through[row["marker"]], house, was))
        elif row["followed"] == "no" or not row["part_of"]:
            found.append(without(row, bringing, _why_none(row, bringing)))
    return tuple(found)


def without_amounts(parts: Sequence[MarkerSource], why: str) -> tuple[MarkerAmount, ...]:
    """Every marker that the parts can bring, where no amount is worked out, and why."""
    found = []
    for row in told():
        bringing = [part for part in parts if brings(row, part)]
        if bringing:
            found.append(without(row, bringing, "" if row["followed"] == "no" else why))
    return tuple(found)


def _followable(part: MarkerSource) -> MarkerSource:
    """The part without a smoke that cannot be split."""
    if not smoked(part) or not smoke_split.problems(part.smoke, part.malt_mg_per_kg):
        return part
    own = set(smoke_split.parts()) | {TOTAL}
    kept = {marker: value for marker, value in part.malt_mg_per_kg.items() if marker not in own}
    return replace(part, processes=part.processes - {"smoked"}, malt_mg_per_kg=kept)


def _why_none(row: Row, bringing: Sequence[MarkerSource]) -> str:
    if row["followed"] == "no":
        return ""
    faults = [(p.name, fault) for p in bringing for fault in smoke_split.problems(p.smoke, p.malt_mg_per_kg)]
    return " ".join(f"{name}: {fault.what}" for name, fault in faults)


def without(row: Row, bringing: Sequence[MarkerSource], why_none: str) -> MarkerAmount:
    """A marker of which no amount is worked out."""
    passes = row["passes"] == DOES_NOT_PASS
    verdict: FeltVerdict = "does_not_pass" if passes else "unknown"
    threshold = _threshold(row["marker"])
    return MarkerAmount(
        marker=row["marker"], title=row["title"], note=row["note"], brought_by=row["brought_by"],
        lots=tuple(part.name for part in bringing), passes=row["passes"], sentence=row["sentence"],
        verdict=verdict, why=row["sentence"] if passes else f"No amount is worked out: {why_none}",
        spirit_ug_per_L=None, spirit_abv_pct=None, cask_ug_per_L=None, cask_years=0.0, read_ug_per_L=None,
        threshold=threshold, against_today=None, steps=(), by_mass_pct=None, standing=row["standing"],
        source=row["source"], part_of=row["part_of"], why_none=why_none,
    )  # fmt: skip


def _amount(
    row: Row, through: Through, house: HouseFigures, was: tuple[Through | None, HouseFigures] | None
) -> MarkerAmount:
    litres = house.spirit_L_per_t / UG_PER_MG
    spirit, cask = through.amounts["spirit"] / litres, through.amounts["cask"] / litres
    threshold = _threshold(row["marker"])
    least = np.minimum(spirit, cask)
    read = band(_read(least, threshold, house)) if threshold and threshold.in_spirit else None
    verdict, why = _verdict(row, read, threshold, house)
    grist = np.maximum(through.amounts["grist"], TINY)
    standings = [Standing(row["standing"]), through.content.source.standing]
    standings += [source.standing for source in through.sources.values()]
    return MarkerAmount(
        marker=row["marker"], title=row["title"], note=row["note"], brought_by=row["brought_by"], lots=through.parts,
        passes=row["passes"], sentence=row["sentence"], verdict=verdict, why=why,
        spirit_ug_per_L=band(spirit), spirit_abv_pct=house.spirit_abv_pct, cask_ug_per_L=band(cask),
        cask_years=house.cask_years, read_ug_per_L=read, threshold=threshold,
        against_today=_against(spirit, was), steps=steps_of(through, house, "grist"),
        by_mass_pct=band(100.0 * through.amounts["spirit"] / grist), standing=str(weakest(standings)),
        source=row["source"], part_of=row["part_of"],
    )  # fmt: skip


def _read(spirit_ug_per_L: FloatArray, threshold: OdourThreshold, house: HouseFigures) -> FloatArray:
    """The threshold's compound in the spirit brought down to the threshold's strength; none is brought up [ug/L]."""
    diluted = min(1.0, threshold.ethanol_pct / house.spirit_abv_pct)
    return spirit_ug_per_L * threshold.part * diluted


def _verdict(
    row: Row, read: Band | None, threshold: OdourThreshold | None, house: HouseFigures
) -> tuple[FeltVerdict, str]:
    """Felt only where the low end passes a threshold measured in spirit. No threshold says that it is not felt."""
    if row["passes"] == DOES_NOT_PASS:
        return "does_not_pass", row["sentence"]
    if threshold is None:
        return "unknown", "No threshold of it was seen."
    said = f"{significant(threshold.ug_per_L, 2)} ug/L of {threshold.compound}"
    if read is None:
        return "unknown", f"The threshold, {said}, is one in {threshold.matrix}, which says nothing of spirit."
    span = f"{significant(read.low, 2)} to {significant(read.high, 2)} ug/L"
    years = f", as filled and after {house.cask_years:g} years alike," if house.cask_years else ""
    held = f"Brought to {threshold.ethanol_pct:g} %vol it holds at least {span} of {threshold.compound}{years}"
    at = f"{significant(threshold.ug_per_L, 2)} ug/L"
    if read.low > threshold.ug_per_L:
        return "likely_felt", f"{held.rstrip(',')}, over its threshold of {at}."
    return "unknown", f"{held.rstrip(',')}; the low end is not over its threshold of {at}."


def _threshold(marker: str) -> OdourThreshold | None:
    found = thresholds(marker)
    return found[0] if found else None


def _against(spirit: FloatArray, was: tuple[Through | None, HouseFigures] | None) -> Band | None:
    """Times what today's grist brings, draw by draw; None where it brings none."""
    if was is None or was[0] is None:
        return None
    before = was[0].amounts["spirit"] / (was[1].spirit_L_per_t / UG_PER_MG)
    return band(spirit / np.maximum(before, TINY))


@cache
def _cuts() -> tuple[tuple[float, ...], tuple[float, ...]]:
    rows = csv_rows("tables/marker_cuts.csv")
    return tuple(float(row["heart_abv_pct"]) for row in rows), tuple(float(row["hearts_end_abv_pct"]) for row in rows)


def hearts_end(heart_abv_pct: float) -> float | None:
    """Where hearts of that strength end [%vol], by a still without reflux; None where the table does not reach."""
    strengths, ends = _cuts()
    if not strengths[0] <= heart_abv_pct <= strengths[-1]:
        return None
    return float(np.interp(heart_abv_pct, strengths, ends))
