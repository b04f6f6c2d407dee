"""The climate of stores: twelve months from a CSV, a generic store by name, or one constant. See docs/stock.md."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

from gristwright.basics import Address, Problem, Refused, Standing
from gristwright.files.formulas import as_meant
from gristwright.files.opened import read_bytes
from gristwright.files.reading import Reading
from gristwright.files.text_table import rows_of, text_of
from gristwright.files.texts import file_name_problems, text_problems
from gristwright.quantities.shown import counted
from gristwright.quantities.units import parse_number
from gristwright.records.cask import Climate
from gristwright.reference.typeface import composed
from gristwright.stages.cask import limits, stores

CONSTANT = re.compile(r"(-?[0-9]+(?:[.,][0-9]+)?)\s*(?:(?:deg|°)\s*)?C[\s,;]+([0-9]+(?:[.,][0-9]+)?)\s*%")
NEEDED = ("month", "degC")
HUMIDITY = ("humidity", "humidity_pct")
LEFT_OUT, NOT_FORECAST = "The line is left out.", "Its casks are not forecast meanwhile."
WAY_OUT = "Give the columns month, degC and humidity_pct, and store where there are several."


def climates_from(text: str) -> Reading[dict[str, Climate]]:
    """The climates a word of the command line names: a file, a generic store, or such as "12 degC 75 %".

    The one under an empty name serves every store.
    """
    if not text.lower().endswith(".csv"):
        constant = CONSTANT.fullmatch(text.strip())
        try:
            return Reading({"": of_constant(constant) if constant else stores.climate_named(text)}, (), ())
        except Refused as refused:
            way_out = f"{refused.problems[0].way_out} Or give a CSV of twelve months, or such as '12 degC 75 %'."
            return Reading(None, (), (Problem("climate", refused.problems[0].what, way_out),))
    return read_climates(Path(text))


def of_constant(match: re.Match[str]) -> Climate:
    """One temperature and humidity all the year. Raises Refused outside the limits."""
    degC, humidity = parse_number(match[1]), parse_number(match[2]) / 100.0
    climate = Climate(match[0].strip(), (degC,) * 12, (humidity,) * 12, "stated as constant", Standing.ESTIMATE)
    faults = [problem for problem in limits.of_climate(climate) if not problem.warning]
    if faults:
        raise Refused(faults[:1])
    return climate


def read_climates(path: Path) -> Reading[dict[str, Climate]]:
    """Climates by store out of a CSV. A store with a fault is set aside as a warning while others can be read.

    Readings of a logger may have many lines a month: they are averaged. Raises nothing; faults are in the reading.
    """
    try:
        text = text_of(read_bytes(path, "climate file"), path.name)
        rows = [[as_meant(cell.strip()) for cell in cells] for _, cells in rows_of(text, path.name)]
    except Refused as refused:
        return Reading(None, (path,), refused.problems)
    heads = [head.strip() for head in rows[0]] if rows else []
    missing = [name for name in NEEDED if name not in heads]
    if missing or not any(name in heads for name in HUMIDITY):
        what = f"has no column {missing[0] if missing else 'humidity_pct'}."
        return Reading(None, (path,), (Problem(Address(path.name, row=1), what, WAY_OUT),))
    problems: list[Problem] = file_name_problems(path.name)
    months = _by_store(path, heads, rows[1:], problems)
    return _reading(path, months, problems)


Months = dict[str, dict[int, list[tuple[float, float]]]]


def _by_store(path: Path, heads: list[str], rows: Iterable[list[str]], problems: list[Problem]) -> Months:
    months: Months = {}
    for number, cells in enumerate(rows, 2):
        if not any(cell.strip() for cell in cells):
            continue
        row = dict(zip(heads, (composed(cell.strip()) for cell in cells), strict=False))
        store = row.get("store", "")
        if store not in months:
            problems += text_problems(store, Address(path.name, row=number).to("store"))
        months.setdefault(store, {})
        try:
            month, degC, humidity = _values(row)
        except Refused as refused:
            where = Address(path.name, row=number)
            problems += [
                Problem(where, f"{p.where} {p.what}", f"{p.way_out} {LEFT_OUT}", True) for p in refused.problems
            ]
            continue
        months[store].setdefault(month, []).append((degC, humidity))
    return months


def _values(row: dict[str, str]) -> tuple[int, float, float]:
    """Month, temperature and humidity as a share. Raises Refused with the column."""
    month = parse_number(row.get("month", ""))
    if month not in range(1, 13):
        raise Refused([Problem("month", f"{row.get('month', '')!r} is outside 1 to 12.", "January is 1.")])
    percent = row.get("humidity_pct", "")
    humidity = parse_number(percent) / 100.0 if percent else parse_number(row.get("humidity", ""))
    return int(month), parse_number(row.get("degC", "")), humidity


def _reading(path: Path, months: Months, problems: list[Problem]) -> Reading[dict[str, Climate]]:
    """The stores without a fault, and the faults; nothing at all when no store is left."""
    climates: dict[str, Climate] = {}
    for store, by_month in months.items():
        climate, faults = _climate(path, store, by_month)
        problems += [p if p.warning else Problem(p.where, p.what, f"{p.way_out} {NOT_FORECAST}", True) for p in faults]
        if not any(not fault.warning for fault in faults):
            climates[store] = climate
    if not climates:
        faults = [Problem(p.where, p.what, p.way_out) for p in problems]
        nothing = Problem(Address(path.name), "holds no store with twelve months.", WAY_OUT)
        return Reading(None, (path,), tuple(faults or [nothing]))
    return Reading(climates, (path,), tuple(problems))


def _climate(path: Path, store: str, by_month: dict[int, list[tuple[float, float]]]) -> tuple[Climate, list[Problem]]:
    means = {
        month: tuple(sum(column) / len(column) for column in zip(*values, strict=True))
        for month, values in sorted(by_month.items())
    }
    climate = Climate(
        store or path.stem,
        tuple(mean[0] for mean in means.values()),
        tuple(mean[1] for mean in means.values()),
        path.name,
        Standing.MEASURED,
    )
    if len(means) < 12:
        lacking = ", ".join(str(month) for month in range(1, 13) if month not in means)
        what = (
            f"{store or 'the store'} has {counted(len(means), 'month')} and 12 are needed; month {lacking} is missing."
        )
        way_out = "Add it, or take the mean of its neighbours and say so."
        return climate, [Problem(Address(path.name).to("store", store or path.stem), what, way_out)]
    return climate, limits.of_climate(climate)
