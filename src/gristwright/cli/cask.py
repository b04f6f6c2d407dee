"""`gristwright cask`: a stock of casks forecast, regauged, vatted, filled and stated. See docs/stock.md."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path

import click

from gristwright.basics import Problem, Refused, refuse_if_any
from gristwright.casework import stock as casks
from gristwright.charts.cask import stock_chart
from gristwright.charts.render import svg
from gristwright.cli.cask_words import (
    plain_data,
    show_fill,
    show_forecast,
    show_regauge,
    show_set_aside,
    show_statement,
    show_unknown,
    show_vat,
)
from gristwright.cli.echo import echo
from gristwright.cli.inputs import seed_option, watched
from gristwright.cli.numbers import DAY, NUMBER
from gristwright.cli.tables import as_json
from gristwright.documents.cask_statement import statement_view, write_statement
from gristwright.files.casks_in import read_casks
from gristwright.files.climate_in import LEFT_OUT, NOT_FORECAST, climates_from
from gristwright.files.provenance import fingerprints
from gristwright.files.rates_in import read_rates
from gristwright.files.writing import write_set
from gristwright.records.cask import Climate
from gristwright.records.stock import Rates, Stock
from gristwright.stages.cask import stores

PATH = click.Path(path_type=Path)
CHART = "stock.svg"
# The exit code of a command whose ledger has casks of no kind that is said: the rest is answered, the whole is not.
NOT_WHOLE = 1

climate_option = click.option(
    "--climate", required=True, help='Climate of the stores: CSV, a generic store, or such as "12 degC 75 %".'
)
on_option = click.option("--on", type=DAY, help="Day of the stock; today when not given.")
json_option = click.option("--json", "as_data", is_flag=True, help="Print JSON.")
draws_option = click.option(
    "--draws", type=click.IntRange(16, 4096), default=casks.DRAWS, show_default=True, help="Draws of each cask."
)
years_option = click.option("--years", type=click.IntRange(1, 60), default=20, show_default=True, help="Years ahead.")
rates_option = click.option("--rates", type=PATH, help="Worth of a litre of pure alcohol by age, CSV.")
value_option = click.option("--value-per-lpa", type=NUMBER, help="One worth of a litre of pure alcohol at any age.")
bottle_option = click.option("--bottle-l", type=NUMBER, default=0.7, show_default=True, help="Litres of a bottle.")
chance_option = click.option(
    "--chance", type=NUMBER, default=0.9, show_default=True, help="Probability with which it must be enough."
)
out_option = click.option("--out", type=PATH, default=Path("out"), show_default=True, help="Folder to write.")


@click.group()
def cask() -> None:
    """Casks for years: a ledger of them forecast, regauged, vatted, filled and stated.

    For planning. Duty is reckoned by the tables, instruments and records your excise authority prescribes.
    """


def day_of(on: dt.datetime | None) -> dt.date:
    """The day of the stock, today when none is given."""
    return on.date() if on else dt.datetime.now(dt.UTC).date()


def stock_from(ledger: Path, climate: str, on: dt.datetime | None) -> Stock:
    """The stock of a ledger. Raises Refused when nothing in it can be used."""
    climates = climates_from(climate)
    with watched() as tick:
        entries = read_casks(ledger, tick)
    if entries.faulty or climates.faulty:
        raise Refused([*entries.problems, *climates.problems])
    given = (LEFT_OUT, NOT_FORECAST)
    said = [replace(p, warning=not p.way_out.endswith(given)) for p in (*entries.problems, *climates.problems)]
    with watched() as tick:
        return casks.assemble(entries.accepted(), climates.accepted(), day_of(on), said, tick)


def end(stock: Stock) -> None:
    """End with 1 where casks of a kind that is not known were counted and not forecast."""
    if stock.unknown:
        click.get_current_context().exit(NOT_WHOLE)


def rates_from(path: Path | None, value: float | None) -> Rates | None:
    """The user's own rates: a table, one value for any age, or none."""
    if path is not None and value is not None:
        raise click.UsageError("Give either --rates or --value-per-lpa.")
    if path is not None:
        return read_rates(path).accepted()
    if value is not None and value < 0.0:
        raise Refused([Problem("--value-per-lpa", f"{value:g} a litre is below 0.", "Give what a litre is worth.")])
    return Rates("money", (0,), (value,)) if value is not None else None


@cask.command()
@click.argument("ledger", type=PATH)
@climate_option
@years_option
@on_option
@rates_option
@value_option
@click.option("--abv", type=NUMBER, help="Bottle strength [%vol] to count bottles at.")
@bottle_option
@click.option("--casks", "each", is_flag=True, help="Name every cask.")
@click.option("--chart", is_flag=True, help="Write stock.svg into the folder of --out.")
@out_option
@draws_option
@seed_option
@json_option
def forecast(
    ledger: Path,
    climate: str,
    years: int,
    on: dt.datetime | None,
    rates: Path | None,
    value_per_lpa: float | None,
    abv: float | None,
    bottle_l: float,
    each: bool,
    chart: bool,
    out: Path,
    draws: int,
    seed: int,
    as_data: bool,
) -> None:
    """The stock of a LEDGER year by year: pure alcohol by spirit and age, bottles, evaporation in money.

    A line that cannot be is named and left out; the others go on.
    """
    worth, stock = rates_from(rates, value_per_lpa), stock_from(ledger, climate, on)
    bottling = casks.Bottling(abv, bottle_l) if abv is not None else None
    refuse_if_any(casks.too_many_named(stock, each))
    unnamed = casks.too_many_named(stock, as_data)
    with watched() as tick:
        known = casks.regauge(stock, draws, seed, tick=tick)
        outlook = casks.forecast(stock, years, known, worth, bottling, (each or as_data) and not unnamed, tick)
    outlook = replace(outlook, problems=(*outlook.problems, *(replace(p, warning=True) for p in unnamed)))
    if as_data:
        echo(as_json({"format": "gristwright.stock_forecast/1", **plain_data(outlook)}))
    else:
        show_forecast(outlook)
        show_set_aside(outlook.problems)
    if chart:
        write_set(out, {CHART: svg(stock_chart(outlook)).encode()})
        echo(f"Written: {out / CHART}", err=as_data)
    end(stock)


@cask.command()
@click.argument("ledger", type=PATH)
@climate_option
@on_option
@click.option(
    "--multiple",
    type=NUMBER,
    default=casks.LEAK_MULTIPLE,
    show_default=True,
    help="A cask leaks above so many times the middle cask's loss at its joints.",
)
@click.option("--casks", "each", is_flag=True, help="Name every gauged cask, not only the suspects.")
@draws_option
@seed_option
@json_option
def regauge(
    ledger: Path,
    climate: str,
    on: dt.datetime | None,
    multiple: float,
    each: bool,
    draws: int,
    seed: int,
    as_data: bool,
) -> None:
    """What the gauges of a LEDGER say: the loss of every store and cask against the model, and which casks leak."""
    stock = stock_from(ledger, climate, on)
    if not stock.casks:
        raise Refused(stock.set_aside)
    with watched() as tick:
        regauged = casks.regauge(stock, draws, seed, multiple, tick)
    if as_data:
        data = {"format": "gristwright.regauge/1", "on": stock.on, "stores": regauged.stores, "casks": regauged.casks}
        echo(as_json(plain_data({**data, "problems": regauged.problems, "unknown": stock.unknown})))
        end(stock)
        return
    show_regauge(regauged, each)
    show_unknown(stock.unknown)
    show_set_aside(regauged.problems)
    end(stock)


@cask.command()
@click.argument("ledger", type=PATH)
@climate_option
@click.option("--litres", type=NUMBER, required=True, help="Litres to be made, at the strength [L at 20 degC].")
@click.option("--abv", type=NUMBER, required=True, help="Strength to be made [%vol].")
@click.option("--youngest", type=click.IntRange(0, 60), default=3, show_default=True, help="Completed years in wood.")
@click.option("--spirit", "spirits", multiple=True, help="Spirit allowed; again for more. All when not given.")
@on_option
@rates_option
@value_option
@chance_option
@draws_option
@seed_option
@json_option
def vat(
    ledger: Path,
    climate: str,
    litres: float,
    abv: float,
    youngest: int,
    spirits: tuple[str, ...],
    on: dt.datetime | None,
    rates: Path | None,
    value_per_lpa: float | None,
    chance: float,
    draws: int,
    seed: int,
    as_data: bool,
) -> None:
    """Which casks of a LEDGER to empty for a vatting at the least loss of value.

    Without rates every litre of pure alcohol counts alike, whatever its age.
    """
    worth = rates_from(rates, value_per_lpa) or Rates("litres of pure alcohol", (0,), (1.0,))
    stock = stock_from(ledger, climate, on)
    wanted = casks.Vat(litres, abv, youngest, spirits, chance)
    rows = casks.told_of(len(stock.casks), casks.fitting(stock, wanted)[0])
    with watched() as tick:
        answer = casks.vat(stock, wanted, worth, casks.regauge(stock, draws, seed, tick=tick, only=rows))
    if as_data:
        echo(as_json({"format": "gristwright.vatting/1", **plain_data(answer)}))
        end(stock)
        return
    show_vat(answer)
    show_set_aside(stock.set_aside)
    end(stock)


@cask.command("fill-for")
@click.option("--bottles", type=click.IntRange(1, 100_000_000), required=True, help="Bottles to be filled.")
@click.option("--abv", type=NUMBER, required=True, help="Bottle strength [%vol].")
@click.option("--year", type=click.IntRange(1900, 2200), required=True, help="Year of bottling; its last day counts.")
@click.option("--climate", default="temperate store", show_default=True, help="As above; one store.")
@click.option("--store", default="", help="Which store of a climate file or a ledger that holds several.")
@click.option("--ledger", type=PATH, help="Ledger whose regauges of like casks of that store are learned from.")
@click.option("--kind", "kinds", multiple=True, help="Kind of cask; again for more. The usual full sizes if not given.")
@click.option("--entry-abv", type=NUMBER, default=63.5, show_default=True, help="Strength into the cask [%vol].")
@click.option("--fill-number", type=click.IntRange(1, 20), default=1, show_default=True, help="Fill of the casks.")
@on_option
@bottle_option
@chance_option
@seed_option
@json_option
def fill_for(
    bottles: int,
    abv: float,
    year: int,
    climate: str,
    store: str,
    ledger: Path | None,
    kinds: tuple[str, ...],
    entry_abv: float,
    fill_number: int,
    on: dt.datetime | None,
    bottle_l: float,
    chance: float,
    seed: int,
    as_data: bool,
) -> None:
    """How many casks of what to fill now for so many bottles at a strength in a year."""
    chosen = [replace(stores.kind_named(kind), fill_number=fill_number) for kind in kinds or casks.USUAL_KINDS]
    wanted, filled = casks.Wanted(bottles, abv, casks.last_day(year), bottle_l, chance), day_of(on)
    known, said = taught(ledger, climate, store, on, {kind.wood for kind in chosen}) if ledger else ({}, ())
    answers = casks.fill_for(wanted, chosen, one_climate(climate, store), entry_abv, filled, seed, known)
    if as_data:
        data = {"format": "gristwright.fill_for/1", "answers": answers, "problems": said}
        echo(as_json(plain_data(data)))
        return
    show_fill(wanted, answers, filled, str(ledger) if ledger else "")
    show_set_aside([problem for problem in said if not problem.warning])


def taught(
    ledger: Path, climate: str, store: str, on: dt.datetime | None, woods: set[str]
) -> tuple[dict[str, casks.StoreBelief | None], tuple[Problem, ...]]:
    """What the regauges of a ledger teach of a store, by wood, and what was set aside. Raises Refused for a store."""
    stock = stock_from(ledger, climate, on)
    names = sorted({cask.store for cask in stock.casks})
    if store not in names and (store or len(names) != 1):
        what = f"no cask of {ledger.name} lies in {store!r}." if store else f"{ledger.name} holds {len(names)} stores."
        raise Refused([Problem("store", what, f"Name one with --store: {', '.join(names)}.")])
    with watched() as tick:
        known = {wood: casks.learn(stock, store or names[0], wood, tick) for wood in sorted(woods)}
    return known, stock.set_aside


def one_climate(text: str, store: str) -> Climate:
    """The one climate meant. Raises Refused when there are several and none is named, or the name is not among them."""
    climates = climates_from(text).accepted()
    if store in climates:
        return climates[store]
    if len(climates) == 1 and (not store or "" in climates):
        return next(iter(climates.values()))
    what = f"{store!r} is not among the stores." if store else f"{text} holds {len(climates)} stores."
    raise Refused([Problem("store", what, f"Name one with --store: {', '.join(sorted(climates))}.")])


@cask.command()
@click.argument("ledger", type=PATH)
@click.argument("cask_id")
@climate_option
@years_option
@on_option
@out_option
@click.option("--invented", is_flag=True, help="Mark the page as an invented example.")
@draws_option
@seed_option
@json_option
def statement(
    ledger: Path,
    cask_id: str,
    climate: str,
    years: int,
    on: dt.datetime | None,
    out: Path,
    invented: bool,
    draws: int,
    seed: int,
    as_data: bool,
) -> None:
    """One cask of a LEDGER on one page: gauges, losses, ages, forecast, next gauge; cask-ID.pdf and cask-ID.json."""
    stock = stock_from(ledger, climate, on)
    if not stock.casks:
        raise Refused(stock.set_aside)
    rows = casks.told_of(len(stock.casks), [casks.row_of(stock, cask_id)])
    with watched() as tick:
        outlook = casks.one_cask(stock, cask_id, years, casks.regauge(stock, draws, seed, tick=tick, only=rows))
    files = [ledger, *([Path(climate)] if climate.lower().endswith(".csv") else [])]
    inputs = fingerprints(files)
    paths = write_statement(outlook, out, inputs, invented)
    if as_data:
        echo(as_json(statement_view(outlook, inputs, invented)))
        end(stock)
        return
    show_statement(outlook)
    show_set_aside([problem for problem in stock.set_aside if cask_id in problem.what])
    show_unknown(stock.unknown)
    echo("\n" + "\n".join(f"Written: {path}" for path in paths))
    end(stock)
