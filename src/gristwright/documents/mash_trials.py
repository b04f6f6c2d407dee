"""A simulated mash, and a grid of mashes, as JSON-ready data; the grid as the rows of a CSV too. See docs/vary.md."""

from __future__ import annotations

import csv
import io
import math

from gristwright.basics import Band, Problem
from gristwright.documents.entries import RUNS, View, figure_entry, single, withheld_entry
from gristwright.documents.view import assumption_view
from gristwright.records.mash_trials import COURSES, ENZYMES, MashRun, PlanCell, Variation, WortLine

RUN_FORMAT, VARY_FORMAT = "gristwright.mash_run/1", "gristwright.vary/1"
ENDS = ("low", "middle", "high")


def _ends(band: Band) -> View:
    return {"low": band.low, "middle": band.middle, "high": band.high}


def mash_view(run: MashRun, warnings: tuple[Problem, ...] = ()) -> View:
    """The course, where it ends, the worts, what to measure next, what it rests on."""
    return {
        "format": RUN_FORMAT,
        "bill": run.bill,
        "house": run.house,
        "times_min": list(run.times_min),
        "settled_degC": list(run.settled_degC),
        "courses": [
            {"key": key, "label": label, "unit": unit, "bands": [_ends(band) for band in run.courses[key]]}
            for key, (label, unit) in COURSES.items()
        ],
        "figures": [figure_entry(figure) for figure in run.figures],
        "worts": [_wort(wort) for wort in run.worts],
        "measure_next": [
            {"name": m.assumption, "meaning": m.meaning, "narrows": m.narrows, "by": m.by, "unit": m.unit, "how": m.how}
            for m in run.measure_next
        ],
        "assumptions": [assumption_view(assumption, None, "") for assumption in run.assumptions],
        "balance_error": run.balance_error,
        "warnings": [problem.sentence() for problem in (*warnings, *run.warnings)],
    }


def _wort(wort: WortLine) -> View:
    return {
        "name": wort.name,
        "goes_to": wort.goes_to,
        "at_min": wort.at_min,
        "volume_L_per_t": _ends(wort.volume_L_per_t),
        "degP": _ends(wort.degP),
        "alive_pct": {key: _ends(wort.alive_pct[key]) for key in ENZYMES},
    }


def variation_view(found: Variation, warnings: tuple[Problem, ...] = ()) -> View:
    """Axes, the plan as it stands, and every cell with its figures and changes."""
    return {
        "format": VARY_FORMAT,
        "bill": found.bill,
        "house": found.house,
        "members": found.members,
        "seed": found.seed,
        "axes": [
            {"key": a.key, "label": a.setting.meaning, "unit": a.setting.unit, "values": list(a.values), "today": now}
            for a, now in zip(found.axes, found.standing, strict=True)
        ],
        "today": _cell(found, found.today),
        "cells": [_cell(found, cell) for cell in found.cells],
        "assumptions": [assumption_view(assumption, None, "") for assumption in found.assumptions],
        "warnings": [problem.sentence() for problem in (*warnings, *found.warnings)],
    }


def _cell(found: Variation, cell: PlanCell) -> View:
    margin = None
    if not cell.cannot:
        margin = single("margin", "Worst board not in order", "of the draws", cell.margin, 3, RUNS)
    return {
        "at": {axis.key: value for axis, value in zip(found.axes, cell.values, strict=False)},
        "cannot": cell.cannot,
        "figures": [] if cell.cannot else [cell_entry(found, cell, key) for key in found.keys],
        "changes": [_change_entry(found, cell, key) for key in found.keys] if cell.values and not cell.cannot else [],
        "withheld": cell.withheld,
        "margin": margin,
        "worst_board": cell.worst,
        "warnings": list(cell.warnings),
    }


def cell_entry(found: Variation, cell: PlanCell, key: str) -> View:
    """A figure of a plan, or why it is not given."""
    if key in cell.figures:
        return figure_entry(cell.figures[key])
    named = found.named[key]
    return withheld_entry(key, named.label, named.unit, cell.withheld)


def _change_entry(found: Variation, cell: PlanCell, key: str) -> View:
    if key in cell.changes:
        return figure_entry(cell.changes[key], difference=True)
    named = found.named[key]
    return withheld_entry(key, named.label, named.unit, cell.withheld or found.today.withheld)


def variation_csv(found: Variation) -> bytes:
    """One line a plan, the plan as it stands first: settings, figures and changes with their ends, margin, reason."""
    keys = found.keys
    heads = [axis.key for axis in found.axes]
    heads += [f"{key}_{end}" for key in keys for end in ENDS]
    heads += [f"change_{key}_{end}" for key in keys for end in ENDS]
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(["plan", *heads, "margin", "worst_board", "cannot", "withheld", "warnings"])
    writer.writerow(_line("as it stands", found, found.today, found.standing))
    for number, cell in enumerate(found.cells, start=1):
        writer.writerow(_line(str(number), found, cell, cell.values))
    return text.getvalue().encode()


def _line(name: str, found: Variation, cell: PlanCell, at: tuple[float | None, ...]) -> list[str]:
    ends = [
        f"{getattr(table[key].band, end):.6g}" if key in table else ""
        for table in (cell.figures, cell.changes)
        for key in found.keys
        for end in ENDS
    ]
    margin = "" if math.isnan(cell.margin) else f"{cell.margin:.4g}"
    settings = ["" if value is None else f"{value:g}" for value in at]
    return [name, *settings, *ends, margin, cell.worst, cell.cannot, cell.withheld, " ".join(cell.warnings)]
