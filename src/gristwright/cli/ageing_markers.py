"""`gristwright ageing markers`: what caramel, roast and smoked malt bring to the spirit. See docs/give_and_gain.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from gristwright import casework
from gristwright.basics import Band, Problem, Refused
from gristwright.casework.bench import LotMarkers, lot_markers
from gristwright.cli.echo import echo
from gristwright.cli.inputs import accept, lots_from, map_option
from gristwright.cli.numbers import NUMBER
from gristwright.cli.tables import as_json, hanging, plain_table, remark
from gristwright.documents.data import as_data as as_data_of
from gristwright.documents.forecast import forecast_view
from gristwright.documents.markers import MarkersTable, markers_table, reason_words
from gristwright.files.jobs_in import read_bill
from gristwright.quantities.shown import capital, significant
from gristwright.quantities.units import parse_number
from gristwright.records.markers_through import MarkerAmount, MarkerChain, MarkerLab
from gristwright.stages.markers.limits import HouseFigures
from gristwright.stages.markers.model import follow_markers
from gristwright.stages.markers.rows import chains

FORMAT, FORMAT_OF_BILL = "gristwright.markers/3", "gristwright.markers_of_bill/1"


def processes() -> list[str]:
    """What a malt may have been through."""
    return sorted({process for row in chains() for process in row["processes"].split("|")})


@click.command()
@click.argument("process", nargs=-1, type=click.Choice(processes()))
@click.option("--lpa", type=NUMBER, help="Litres of pure alcohol a tonne of grist gives.")
@click.option("--abv", type=NUMBER, help="Strength of the new spirit as filled, %vol.")
@click.option("--cut", type=NUMBER, default=60.0, show_default=True, help="Strength at which the hearts end, %vol.")
@click.option("--years", type=NUMBER, default=0.0, show_default=True, help="Years in the cask.")
@click.option("--share", type=NUMBER, default=100.0, show_default=True, help="Share of that malt in the grist, %.")
@click.option("--smoke", default="", help="What the malt was smoked with: peat, beech, oak.")
@click.option(
    "--malt",
    multiple=True,
    help="Content of your malt in mg/kg: a certificate's total, such as phenols=54, which is split by the smoke, or "
    "your own analysis of a marker, such as guaiacol=2; repeatable.",
)
@click.option(
    "--lab",
    multiple=True,
    help="Your laboratory's pair, marker=mg/kg of malt:mg/L of spirit, such as phenols=54:24; repeatable.",
)
@click.option("--store", type=NUMBER, help="Months the malt lies from its analysis to the mash; phenols fall in store.")
@click.option("--lots", type=click.Path(path_type=Path), help="A file of certificates: the lot tells what it brings.")
@map_option
@click.option("--lot", "lot_id", default="", help="The lot of that file.")
@click.option(
    "--bill",
    "bill_path",
    type=click.Path(path_type=Path),
    help="A bill file instead: every lot by its share, through its own house; with --lots and nothing else.",
)
@click.option("--json", "as_data", is_flag=True, help="Print JSON.")
def markers(
    process: tuple[str, ...],
    lpa: float | None,
    abv: float | None,
    cut: float,
    years: float,
    share: float,
    smoke: str,
    malt: tuple[str, ...],
    lab: tuple[str, ...],
    store: float | None,
    lots: Path | None,
    map_path: Path | None,
    lot_id: str,
    bill_path: Path | None,
    as_data: bool,
) -> None:
    """Follow the markers of malts made by PROCESS (caramel, roast, smoked), of pale malt, rye and wheat, to the cask.

    The malt is --share of the grist. With --bill a whole bill is followed through its own house, as in an answer. A
    laboratory pair is taken as measured on the same mash, share, strength and cut.
    """
    if bill_path is not None:
        _of_bill(bill_path, lots, map_path, as_data)
        return
    if lpa is None or abv is None:
        raise click.UsageError("Give --lpa and --abv of your house, or a --bill.")
    told = _of_lot(process, lots, map_path, lot_id)
    months = told.store_months if store is None else store
    house = HouseFigures(lpa, abv, cut, years, store_months=months or 0.0)
    faults: list[Problem] = []
    contents = dict(told.malt_mg_per_kg)
    contents |= {name: values[0] for name, values in _named("--malt", malt, 1, faults).items()}
    pairs = {
        name: MarkerLab(values[0], values[1], lpa, abv, cut, share / 100.0)
        for name, values in _named("--lab", lab, 2, faults).items()
    }
    try:
        chains = follow_markers(told.processes, house, contents, share / 100.0, pairs, smoke=smoke or told.smoke)
    except Refused as refused:
        raise Refused([*faults, *refused.problems]) from None
    if faults:
        raise Refused(faults)
    asked = [problem.sentence() for problem in told.asked] + _age_asked(chains, months)
    if as_data:
        echo(as_json({"format": FORMAT, **chains_view(chains), "asked": asked}))
        return
    for chain in chains:
        show_chain(chain)
    for sentence in asked:
        echo(f"\n{remark(f'Mind: {sentence}')}")


def _of_bill(path: Path, lots: Path | None, map_path: Path | None, as_data: bool) -> None:
    """The markers of a bill in its house, as an answer has them. Raises Refused."""
    if lots is None:
        raise click.UsageError("Give --lots, the certificates of the bill's lots.")
    sheet, given, warnings = accept(read_bill(path), lots_from(lots, map_path))
    made = casework.forecast(sheet, given)
    if as_data:
        view = forecast_view(made, warnings).bill
        echo(as_json({"format": FORMAT_OF_BILL, "bill": view.name, "markers": [as_data_of(m) for m in view.markers]}))
        return
    show_amounts([(made.result.bill.name, made.result.markers)])
    for one in made.result.markers:
        echo(hanging(f"- {capital(one.title)}: {reason_words(one.why)}"))


def show_amounts(bills: Sequence[tuple[str, Sequence[MarkerAmount]]]) -> None:
    """What reaches the spirit of each bill, as a table on a terminal; nothing where no bill brings any."""
    part = markers_table(bills, ())
    if not part.rows:
        return
    echo("\n" + remark(f"{part.title}: {part.strength}"))
    rows = [
        (f"{'of which ' if row.part else ''}{row.title}", column, cell.text, cell.under, cell.times, cell.words)
        for row in part.rows
        for column, cell in zip(part.columns, row.cells, strict=True)
        if cell.words
    ]
    echo(plain_table(("marker", "bill", "middle", "5 to 95 %", "", "felt"), rows))


def show_brief(part: MarkersTable) -> None:
    """What reaches the spirit of several bills, the middles alone; nothing where no bill brings any."""
    if not part.rows:
        return
    said = "* likely felt; x does not pass; of the rest your own trial decides."
    echo("\n" + remark(f"{part.title}: {part.strength} {said}"))
    marks = {"likely_felt": " *", "does_not_pass": " x"}
    rows = [
        (f"{'of which ' if row.part else ''}{row.title}", *(f"{c.text}{marks.get(c.verdict, '')}" for c in row.cells))
        for row in part.rows
        if any(cell.text[:1].isdigit() for cell in row.cells)
    ]
    echo(plain_table(("marker", *part.columns), rows))


def _of_lot(process: tuple[str, ...], path: Path | None, map_path: Path | None, lot_id: str) -> LotMarkers:
    """What the lot named tells of itself; without one, the ways of making that were named. Raises Refused."""
    if path is None:
        if not process:
            raise click.UsageError(f"Name what the malt has been through: {', '.join(processes())}; or give --lots.")
        return LotMarkers(process, "", {}, None, ())
    given = {lot.lot_id: lot for lot in lots_from(path, map_path).accepted()}
    if lot_id not in given:
        raise Refused([Problem("--lot", f"{lot_id!r} is no lot of {path.name}.", f"It holds: {', '.join(given)}.")])
    told = lot_markers(given[lot_id])
    return replace(told, processes=tuple(dict.fromkeys((*told.processes, *process))))


def _age_asked(chains: Sequence[MarkerChain], months: float | None) -> list[str]:
    """The question how old a smoked malt is when it is mashed, where nobody said."""
    if months is not None or not any(chain.part_of for chain in chains):
        return []
    return [
        "How long does the malt lie before it is mashed? Phenols fall in store: give --store MONTHS. None is counted."
    ]


def _named(option: str, texts: tuple[str, ...], count: int, faults: list[Problem]) -> dict[str, list[float]]:
    """Values of `marker=value:value` by marker; what cannot be read becomes a fault."""
    example = "phenols=54" if count == 1 else "phenols=54:24"
    by_name = {}
    for text in texts:
        name, _, rest = text.partition("=")
        try:
            values = [parse_number(part) for part in rest.split(":")]
        except Refused:
            values = []
        if len(values) == count:
            by_name[name.strip()] = values
        else:
            faults.append(Problem(option, f"{text!r} cannot be read.", f"Write it as {example}."))
    return by_name


def chains_view(chains: tuple[MarkerChain, ...]) -> dict[str, Any]:
    """Every marker once; sums of several stand apart, so that nothing is added up twice."""
    sums = {chain.part_of for chain in chains} - {""}
    return {
        "markers": [chain_view(chain) for chain in chains if chain.marker not in sums],
        "sums": [chain_view(chain) for chain in chains if chain.marker in sums],
    }


def chain_view(chain: MarkerChain) -> dict[str, Any]:
    """A marker's way, ready for JSON."""
    return {
        "marker": chain.marker,
        "title": chain.title,
        "part_of": chain.part_of,
        "passes": chain.passes,
        "sentence": chain.sentence,
        "ppm_to_ppm_pct": _ends(chain.ppm_to_ppm_pct),
        "by_mass_pct": _ends(chain.by_mass_pct),
        "plant_factor": _ends(chain.plant_factor),
        "measured": chain.measured,
        "steps": [
            {
                "step": step.step,
                **_ends(step.amount),
                "unit": step.unit,
                "left_pct": None if step.left_pct is None else _ends(step.left_pct),
                "standing": step.standing,
                "source": step.source,
            }
            for step in chain.steps
        ],
    }


def _ends(band: Band) -> dict[str, float]:
    return {"low": band.low, "middle": band.middle, "high": band.high}


def show_chain(chain: MarkerChain) -> None:
    """One marker on a terminal; phenols and their like are told both ways."""
    echo(f"\n{'of which ' if chain.part_of else ''}{chain.title}: {chain.passes}")
    echo(remark(chain.sentence))
    if chain.part_of:
        echo(remark(f"Content: {chain.steps[0].source}."))
    rows = [
        (step.title, f"{significant(step.amount.middle)} ({_range(step.amount)}) {step.unit}", step.standing)
        for step in chain.steps
    ]
    echo(plain_table(("where", "middle (5 to 95 %)", "step rests on"), rows))
    echo(
        hanging(
            f"Into new spirit: {significant(chain.ppm_to_ppm_pct.middle)} % ppm to ppm "
            f"(mg/L of spirit over mg/kg of grist); {significant(chain.by_mass_pct.middle)} % by mass "
            f"({_range(chain.by_mass_pct)}). Plant factor {significant(chain.plant_factor.middle)} "
            f"({_range(chain.plant_factor)}), {'from your laboratory' if chain.measured else 'not measured'}."
        )
    )


def _range(band: Band) -> str:
    return f"{significant(band.low)} to {significant(band.high)}"
