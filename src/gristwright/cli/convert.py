"""`gristwright convert`: a value in another unit of the same kind. See docs/quantities.md."""

from __future__ import annotations

import click

from gristwright.basics import Problem, Refused
from gristwright.cli.echo import echo
from gristwright.cli.tables import as_json, as_text, named_values, plain_table
from gristwright.quantities import conversion
from gristwright.quantities.units import UnitName, candidates, find_unit, parse_quantity


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("words", nargs=-1, type=click.UNPROCESSED, metavar="VALUE UNIT TO_UNIT")
@click.option("--list", "show_list", is_flag=True, help="Which units convert into which.")
@click.option("--json", "as_data", is_flag=True, help="Print JSON.")
def convert(words: tuple[str, ...], show_list: bool, as_data: bool) -> None:
    """A VALUE of one UNIT in another, with method and spread.

    \b
    gristwright convert 317 degWK degLintner
    gristwright convert 12,4 degP SG
    gristwright convert 308 "L deg/kg" extract_pct
    """
    if show_list:
        echo(_list_text(as_data))
        return
    echo(_answer(words, as_data))


def _answer(words: tuple[str, ...], as_data: bool) -> str:
    if len(words) < 2:
        what = "a value, its unit and the unit wanted are needed."
        raise Refused([Problem("convert", what, "For example: gristwright convert 317 degWK degLintner.")])
    text, wanted = " ".join(words[:-1]), words[-1]
    given = parse_quantity(text, _shared_kind(text, wanted))
    result = conversion.convert(given.value, given.unit, find_unit(wanted, given.unit.kind))
    data = _data(given.value, given.unit, result)
    return as_json(data) if as_data else _text(given.value, given.unit, result)


def _shared_kind(text: str, wanted: str) -> str | None:
    """What the unit wanted measures, when its name says so; it settles a name of the given unit that has two readings.

    A known unit of another kind is left to the comparison of kinds, which names both.
    """
    kinds = {unit.kind for unit in candidates(wanted)}
    if len(kinds) != 1:
        return None
    try:
        parse_quantity(text)
    except Refused:
        return kinds.pop()
    return None


def _spreads(result: conversion.Conversion) -> bool:
    return result.low < result.high


def _data(value: float, unit: UnitName, result: conversion.Conversion) -> dict[str, object]:
    name = result.unit.name
    data: dict[str, object] = {"given": {unit.name: value}, name: result.value}
    if _spreads(result):
        data |= {f"{name}_low": result.low, f"{name}_high": result.high}
    data |= {"method": result.method, "source": result.source}
    return data | {"standing": result.standing.value if result.standing else "exact", "note": result.note}


def _text(value: float, unit: UnitName, result: conversion.Conversion) -> str:
    lines = {"given": f"{value:.10g} {unit.name}", "is": f"{as_text(result.value, 6)} {result.unit.name}"}
    if _spreads(result):
        lines["spread"] = f"{as_text(result.low, 4)} to {as_text(result.high, 4)} {result.unit.name}, by method"
    lines |= {"method": result.method, "source": result.source, "note": result.note}
    return named_values({name: text for name, text in lines.items() if text})


def _list_text(as_data: bool) -> str:
    groups = {kind: conversion.convertible(kind) for kind in conversion.kinds()}
    if as_data:
        return as_json(groups)
    return plain_table(
        ["kind", "units, each converts into every other"], [[k, ", ".join(v)] for k, v in groups.items()]
    )
