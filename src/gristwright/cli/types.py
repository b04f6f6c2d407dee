"""`gristwright types`: what a type of malt or grain usually shows, laid out like a certificate. See docs/types.md."""

from __future__ import annotations

from collections.abc import Mapping

import click

from gristwright.cli.echo import echo
from gristwright.cli.tables import Cell, as_json, named_values, plain_table, remark
from gristwright.records.lot import Material, TypicalValue
from gristwright.reference import csv_rows
from gristwright.reference.near_types import types_of
from gristwright.reference.type_names import type_named
from gristwright.stages.grist.materials import material_named, materials

ONE_OF_THEM = "Name one of them to see its values."


@click.command()
@click.argument("key", required=False)
@click.option("--json", "as_data", is_flag=True, help="Print JSON.")
def types(key: str | None, as_data: bool) -> None:
    """Usual and possible values of a type of malt or grain; all types without KEY; all of a grain or a way of making.

    \b
    gristwright types
    gristwright types rye_malt
    gristwright types rye
    gristwright types caramel
    """
    if key is None:
        echo(as_json(_all_data(materials())) if as_data else _all_text(materials()))
        return
    found = types_of(key) if type_named(key) is None else []
    if found:
        several = {name: materials()[name] for name in found}
        echo(as_json(_all_data(several)) if as_data else f"{_all_text(several)}\n\n{remark(ONE_OF_THEM)}")
        return
    material = material_named(key, "types")
    echo(as_json(_data(material)) if as_data else _text(material))


def _words(material: Material) -> dict[str, Cell]:
    return {
        "cereal": material.species,
        "malted": "yes" if material.malted else "no",
        "form": material.form,
        "process": material.process,
    }


def _all_data(some: Mapping[str, Material]) -> dict[str, object]:
    return {key: {"title": material.title, **_words(material)} for key, material in some.items()}


def _all_text(some: Mapping[str, Material]) -> str:
    rows = [[m.key, m.title, m.species, "yes" if m.malted else "no"] for m in some.values()]
    return plain_table(["key", "type", "cereal", "malted"], rows)


def _titles() -> dict[str, str]:
    return {row["field"]: row["title"] for row in csv_rows("tables/certificate_fields.csv")}


def _data(material: Material) -> dict[str, object]:
    analyses = {field: _value_data(typical) for field, typical in material.typical.items()}
    return {"key": material.key, "title": material.title, **_words(material), "analyses": analyses}


def _value_data(typical: TypicalValue) -> dict[str, object]:
    numbers = {"low": typical.low, "middle": typical.middle, "high": typical.high}
    limits = {"least": typical.least, "warn_low": typical.warn_low}
    limits |= {"warn_high": typical.warn_high, "most": typical.most}
    return {"unit": typical.unit, **numbers, **limits, "standing": typical.standing.value, "source": typical.source}


def _text(material: Material) -> str:
    titles = _titles()
    sources = list(dict.fromkeys((v.standing.value, v.source) for v in material.typical.values()))
    rows: list[list[Cell]] = [
        [
            titles[field],
            v.low,
            v.middle,
            v.high,
            v.unit,
            _range(v),
            str(1 + sources.index((v.standing.value, v.source))),
        ]
        for field, v in material.typical.items()
    ]
    table = plain_table(["analysis", "low", "middle", "high", "unit", "accepted", "note"], rows, digits=4)
    notes = [remark(f"{k}. {standing}: {source}.") for k, (standing, source) in enumerate(sources, 1)]
    foot = "Low to high holds nine lots of ten. What lies outside the accepted is used and "
    foot += "warned of; beyond the possible (with --json) it is refused."
    head = named_values({"type": f"{material.title} ({material.key})", **_words(material)})
    return "\n\n".join([head, table, remark(foot), "\n".join(notes)])


def _range(typical: TypicalValue) -> str:
    return f"{typical.warn_low:g}-{typical.warn_high:g}"
