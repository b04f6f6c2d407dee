"""The simulated mash as a part of the dossier: course, end, and what another plan gives. See docs/order.md."""

from __future__ import annotations

from gristwright.charts.heat_map import axis_title, heat_map
from gristwright.charts.mash_course import course_chart
from gristwright.documents.entries import RUNS, View, entry, figure_entry, single
from gristwright.documents.mash_trials import cell_entry
from gristwright.quantities.shown import capital, plain
from gristwright.records.mash_trials import ENZYMES, MashPart, MashRun, PlanCell, Variation, WortLine

# Of the figures a mash ends with, those that the ledger and the boards do not say.
SHOWN = (
    "unconverted_pct",
    "now_pct",
    "unboiled_pct",
    "volume_L_per_t",
    "mash_pH",
    "heating_MJ_per_t",
    "cooling_MJ_per_t",
)
GRID = ("lpa_per_t", "fermentability_pct", "unconverted_pct")
TITLES = {"alpha_alive": "alpha-amylase", "beta_alive": "beta-amylase", "limit_dextrinase_alive": "limit dextrinase"}
NOTE = (
    "A simulation of the vessel; 5 to 95 % in brackets. It holds few published rows it was not fitted to, and no "
    "measured course of a whole mash was at hand: trust directions and differences before sizes."
)
GRID_NOTE = (
    "The same bill and draws at other settings of the plan, against the plan as it stands. A first look on fewer draws "
    "than the offers stand on."
)


def mash_part_view(part: MashPart) -> View:
    """The course with its figures and worts, and the grid of plans where there is one."""
    run = part.run
    return {
        "bill": run.bill,
        "chart": course_chart(run, height=84),
        "figures": [figure_entry(figure) for figure in run.figures if figure.key in SHOWN],
        "enzymes": [TITLES[key] for key in ENZYMES],
        "worts": [_wort(run, wort) for wort in run.worts],
        "measure_next": [
            f"{capital(m.meaning)}: it narrows {m.narrows} by {plain(m.by, 1)} {m.unit}" for m in run.measure_next
        ],
        "grid": None if part.grid is None else _grid(part.grid),
        "warnings": [problem.sentence() for problem in run.warnings],
        "note": NOTE,
        "grid_note": GRID_NOTE,
    }


def _wort(run: MashRun, wort: WortLine) -> View:
    rests = run.figures[0].rests_on
    alive = [entry(key, TITLES[key], "% alive", wort.alive_pct[key], 0, rests) for key in ENZYMES]
    return {
        "name": capital(wort.name),
        "goes_to": wort.goes_to,
        "at": single("at_min", "drawn at", "min", wort.at_min, 0, "the plan"),
        "volume": entry("volume_L_per_t", "litres", "L/t", wort.volume_L_per_t, 0, rests),
        "degP": entry("degP", "strength", "degP", wort.degP, 1, rests),
        "alive": alive,
    }


def _grid(found: Variation) -> View:
    """Rows of cells, one a plan, as a table beside the picture."""
    across, up = found.axes
    return {
        "chart": heat_map(found),
        "across": capital(axis_title(across)),
        "up": capital(axis_title(up)),
        "columns": [
            single(across.key, across.setting.meaning, across.setting.unit, v, 1, "the grid") for v in across.values
        ],
        "rows": [
            {
                "at": single(up.key, up.setting.meaning, up.setting.unit, value, 2, "the grid"),
                "cells": [_cell(found, cell) for cell in found.cells if cell.values[1] == value],
            }
            for value in up.values
        ],
    }


def _cell(found: Variation, cell: PlanCell) -> View:
    if cell.cannot:
        return {"cannot": cell.cannot, "figures": [], "margin": None}
    figures = [cell_entry(found, cell, key) for key in GRID if key in found.keys]
    return {
        "cannot": "",
        "figures": figures,
        "margin": single("margin", "worst board", "of the draws", cell.margin, 3, RUNS),
    }
