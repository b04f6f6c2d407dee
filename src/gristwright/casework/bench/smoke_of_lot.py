"""What a lot's certificate tells of the markers it brings: its ways of making, its smoke, its own figures.

See docs/give_and_gain.md. Data: reference/tables/markers.csv, its column `fields`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from gristwright.basics import Problem, Refused
from gristwright.records.lot import Lot, Material
from gristwright.stages.grist.certificate import believe, lot_problems
from gristwright.stages.grist.certificate_units import fields
from gristwright.stages.grist.materials import material_named
from gristwright.stages.markers.rows import PALE, chains

IN_STORE = "months_in_store"


@dataclass(frozen=True)
class LotMarkers:
    """What `follow_markers` is told of a lot: content [mg/kg as supplied] by marker, and what has to be asked."""

    processes: tuple[str, ...]  # ways of making and the grain itself, as far as a marker comes of them
    smoke: str
    malt_mg_per_kg: Mapping[str, float]
    store_months: float | None
    asked: tuple[Problem, ...]


def lot_markers(lot: Lot) -> LotMarkers:
    """The markers of a lot by its type and certificate. Raises Refused for a type not known, one that brings none, or a
    certificate with faults."""
    material = material_named(lot.material, lot.where.to("material"))
    problems = lot_problems(lot, material)
    if faults := [problem for problem in problems if not problem.warning]:
        raise Refused(faults)
    told = markers_of(lot, material, believe(lot, material).values)
    if not told.processes:
        what = f"{material.title} brings none of the markers that are followed."
        raise Refused([Problem(lot.where.to("material"), what, f"They come of: {', '.join(sorted(_bring()))}.")])
    return replace(told, asked=(*problems, *told.asked))


def markers_of(lot: Lot, material: Material, values: Mapping[str, float]) -> LotMarkers:
    """The markers of a lot whose certificate was read; no ways of making where it brings none."""
    contents = _contents(material, values)
    # A malt of a smoke that has no type stands under the plain malt of its cereal, with phenols on its certificate.
    found = {process for row in chains() if row["marker"] in contents for process in row["processes"].split("|")}
    pale = (PALE,) if material.malted and not material.dark else ()
    words = (material.process, *pale, material.species, *sorted(found))
    processes = tuple(dict.fromkeys(word for word in words if word in _bring()))
    return LotMarkers(processes, material.smoke, contents, values.get(IN_STORE), tuple(_half(lot, values, contents)))


def _bring() -> set[str]:
    return {process for row in chains() for process in row["processes"].split("|")}


def _contents(material: Material, values: Mapping[str, float]) -> dict[str, float]:
    """A marker's own figures added up, where all of them are printed; nothing found is no smoke of a malt unsmoked."""
    contents = {}
    for row in chains():
        names, made_so = row["fields"].split(), material.process in row["processes"].split("|")
        if names and all(name in values for name in names):
            contents[row["marker"]] = sum(values[name] for name in names)
            if not contents[row["marker"]] and not made_so:
                del contents[row["marker"]]
    return contents


def _half(lot: Lot, values: Mapping[str, float], contents: Mapping[str, float]) -> Iterator[Problem]:
    """Figures that make a marker only together, and one of them is missing."""
    for row in chains():
        names = row["fields"].split()
        there = [name for name in names if name in values]
        if there and row["marker"] not in contents and len(there) < len(names):
            lacks = ", ".join(fields()[name].title for name in names if name not in values)
            what = f"{fields()[there[0]].title} is not used: {row['title']} are followed together."
            yield Problem(lot.where.to(there[0]), what, f"Ask for {lacks} beside it.", warning=True)
