"""What the commands on casks print, and their results as plain data. See docs/stock.md."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import fields, is_dataclass
from typing import Any

from gristwright.basics import Address, Band, Problem
from gristwright.casework.stock import Wanted, in_words, leakers
from gristwright.cli.echo import MOST_ALIKE, echo
from gristwright.cli.tables import Cell, hanging, plain_table, remark
from gristwright.documents.cask_statement import floor_words, humidity_words, strength_text
from gristwright.documents.entries import percent
from gristwright.quantities.shown import capital, plain, with_interval
from gristwright.records.stock import (
    CaskForecast,
    FillAnswer,
    Learned,
    Regauged,
    StockForecast,
    UnknownCask,
    VattingAnswer,
)
from gristwright.rules.hazard.model import cautions

SUSPECT = 0.2
SHOWN_YEARS = 8
SHOWN_PROBLEMS = 12


def plain_data(part: Any) -> Any:
    """A record as JSON holds it: fields by name, dates as text, no number that is none; an address as what it says."""
    if isinstance(part, Address | Problem):
        return part.as_data()
    if is_dataclass(part) and not isinstance(part, type):
        return {field.name: plain_data(getattr(part, field.name)) for field in fields(part)}
    if isinstance(part, dict):
        return {key: plain_data(value) for key, value in part.items()}
    if isinstance(part, list | tuple):
        return [plain_data(value) for value in part]
    if isinstance(part, dt.date):
        return part.isoformat()
    if isinstance(part, float):
        return part if math.isfinite(part) else None
    return part


def band_text(band: Band, decimals: int) -> str:
    """A band in the terminal."""
    return with_interval(band, decimals)


def some(count: int) -> list[int]:
    """Which marks to show: all of a few, else an even choice with first and last."""
    if count <= SHOWN_YEARS + 1:
        return list(range(count))
    step = math.ceil((count - 1) / SHOWN_YEARS)
    return sorted({*range(0, count, step), count - 1})


def show_set_aside(problems: Sequence[Problem]) -> None:
    """Sentences on lines that were left out or doubted, the faults first."""
    ordered = sorted(dict.fromkeys(problems), key=lambda problem: problem.warning)
    for problem in ordered[:SHOWN_PROBLEMS]:
        echo("\n" + remark(f"{'Mind' if problem.warning else 'Set aside'}: {problem.sentence()}"))
    if len(ordered) > SHOWN_PROBLEMS:
        echo(f"\n{len(ordered) - SHOWN_PROBLEMS} more; --json gives all.")
    echo("\n" + remark(cautions("spirit")[0].text))


def show_unknown(casks: Sequence[UnknownCask], forecast_L: float | None = None) -> None:
    """Casks of a kind that the ledger does not say, each with its line; nothing where there is none."""
    if not casks:
        return
    litres, held = sum(cask.litres for cask in casks), sum(cask.rla_L for cask in casks)
    named = ", ".join(
        f"{cask.cask_id} (row {cask.where.row})" if cask.where.row else cask.cask_id for cask in casks[:MOST_ALIKE]
    )
    named += f" and {len(casks) - MOST_ALIKE} more" if len(casks) > MOST_ALIKE else ""
    text = (
        f"Kind not known: {len(casks)} cask{'s' * (len(casks) != 1)} with {plain(litres, 0)} L and "
        f"{plain(held, 0)} L of pure alcohol by their last lines, counted and not forecast: {named}."
    )
    if forecast_L is not None:
        text += f" With them the stock holds {plain(forecast_L + held, 0)} L of pure alcohol on the day."
    echo("\n" + remark(text))


def show_forecast(outlook: StockForecast) -> None:
    """The stock year by year."""
    more = f" and {len(outlook.unknown)} of a kind not known" if outlook.unknown else ""
    echo(
        f"{len(outlook.casks)} casks{more} on {outlook.on}; litres of pure alcohol at 20 degC, 5 to 95 % in brackets\n"
    )
    headings = ["year", "pure alcohol, L", "gone in a year, L"]
    headings += [f"gone, {outlook.currency}"] if outlook.money else []
    headings += [f"bottles at {outlook.bottle_abv_pct:g} %vol", "casks weaker"] if outlook.bottles else []
    rows: list[list[Cell]] = []
    for k in some(len(outlook.marks)):
        row: list[Cell] = [
            outlook.marks[k].year,
            band_text(outlook.rla_L[k], 0),
            band_text(outlook.evaporated_L[k], 0) if k else "",
        ]
        row += [band_text(outlook.money[k], 0) if k else ""] if outlook.money else []
        row += [band_text(outlook.bottles[k], 0), band_text(outlook.below_strength[k], 0)] if outlook.bottles else []
        rows.append(row)
    echo(plain_table(headings, rows))
    _show_by(outlook, "spirit", {name: [b.middle for b in held] for name, held in outlook.by_spirit.items()})
    _show_by(outlook, "youngest in wood", {title: list(row) for title, row in outlook.by_age.items()})
    if outlook.by_cask:
        _show_by(outlook, "cask", {name: [b.middle for b in held] for name, held in outlook.by_cask.items()}, 1)
    show_unknown(outlook.unknown, outlook.rla_L[0].middle)


def _show_by(outlook: StockForecast, what: str, rows: dict[str, list[float]], decimals: int = 0) -> None:
    picked = some(len(outlook.marks))[:: 2 if len(outlook.marks) > SHOWN_YEARS else 1]
    lines = [[name, *(plain(values[k], decimals) for k in picked)] for name, values in rows.items()]
    echo("\n" + plain_table([what, *(str(outlook.marks[k].year) for k in picked)], lines))


def show_regauge(regauged: Regauged, each: bool) -> None:
    """Stores, then the casks that may leak, or all that were gauged."""
    rows = [
        (s.store or "(not named)", s.gauged, band_text(s.prior, 2), band_text(s.factor, 2), band_text(s.water, 2))
        for s in regauged.stores
    ]
    echo("Loss over the model's by store, 5 to 95 % in brackets\n")
    echo(plain_table(("store", "gauged", "before", "after", "water over model"), rows))
    suspects = leakers(regauged, SUSPECT)
    multiple = regauged.casks[0].multiple
    echo(
        f"\n{len(suspects)} of {len(regauged.casks)} casks may leak: joints above {multiple:g} times the middle cask's"
    )
    shown = [c for c in regauged.casks if c.gauges] if each else list(suspects)
    if shown:
        lines = [
            (c.cask_id, str(c.last_date), plain(c.rla_L, 1), band_text(c.factor, 2), percent(c.leaking)) for c in shown
        ]
        headings = ("cask", "last gauge", "RLA, L", "loss over model", "leaks")
        echo("\n" + plain_table(headings, lines))


def show_vat(answer: VattingAnswer) -> None:
    """The casks to empty, and what they give."""
    echo(
        f"{len(answer.casks)} of {answer.considered} casks for {plain(answer.litres_asked, 0)} L at {answer.abv_pct:g} "
        f"%vol, the youngest {answer.youngest_years} years\n"
    )
    echo(remark(", ".join(answer.casks)) + "\n")
    worth = answer.currency
    rows = [
        ("pure alcohol, L", band_text(answer.rla_L, 0)),
        ("mixed", f"{plain(answer.mixed_L, 0)} L at {plain(answer.mixed_abv_pct, 1)} %vol"),
        ("water to add, L", plain(answer.water_L, 0)),
        ("surplus, L", plain(answer.surplus_L, 0)),
        ("enough and strong enough", percent(answer.chance)),
        ("worth of the casks kept a year", f"{plain(answer.value_taken, 0)} {worth}"),
        ("worth of what is made", f"{plain(answer.value_made, 0)} {worth}"),
        ("loss of value", f"{plain(answer.loss_of_value, 0)} {worth}"),
    ]
    echo(plain_table(("", ""), rows))
    for text in answer.left_out:
        echo("\n" + remark(f"Left out: {text}"))
    if answer.loss_of_value < 0.0:
        echo("\n" + remark("The loss is below zero: the casks would evaporate more in a year than is given up."))


def show_fill(wanted: Wanted, answers: Sequence[FillAnswer], filled: dt.date, ledger: str = "") -> None:
    """The number of casks of each kind."""
    echo(
        f"{plain(wanted.bottles, 0)} bottles of {wanted.bottle_L:g} L at {wanted.abv_pct:g} %vol on {wanted.on}, "
        f"filled {filled}:\n{plain(answers[0].needed_lpa_L, 0)} L of pure alcohol in the bottles\n"
    )
    head = (
        "cask",
        "litres",
        f"casks, {100 * wanted.chance:g} %",
        "50 %",
        "95 %",
        "to fill, L",
        "left a cask, L",
        "%vol",
    )
    rows = [
        (
            answer.kind,
            plain(answer.capacity_L, 0),
            str(answer.casks),
            str(answer.at_half),
            str(answer.at_most),
            plain(answer.fill_lpa_L, 0),
            band_text(answer.rla_per_cask_L, 0),
            band_text(answer.abv_pct, 0),
        )
        for answer in answers
    ]
    echo(plain_table(head, rows))
    echo("\n" + remark("To fill and left are litres of pure alcohol; what bottling loses is counted."))
    for text in dict.fromkeys(_learned(answer.learned, ledger) for answer in answers):
        echo("\n" + remark(text))
    for text in dict.fromkeys(text for answer in answers for text in answer.warnings):
        echo("\n" + remark(f"Mind: {text}"))
    echo("\n" + remark(cautions("licence")[0].text))


def _learned(learned: Learned | None, ledger: str) -> str:
    """Whether the casks to be filled are drawn from a prior or from what like casks taught."""
    if learned is None:
        why = f"no like cask of the store was regauged in {ledger}" if ledger else "no ledger of regauges was given"
        return f"Losses are drawn from the wide prior of any store: {why}."
    return (
        f"Learned from {learned.gauged} regauged casks of {learned.wood} in {learned.store or 'the store'}: loss over "
        f"the model's {band_text(learned.factor, 2)}, before any gauge {band_text(learned.prior, 2)}; "
        f"{plain(learned.leaking, 1)} of them leak, so {plain(100.0 * learned.leaker_share, 1)} % of new casks are "
        "taken to. Fill and size are not told apart."
    )


def show_statement(outlook: CaskForecast) -> None:
    """A cask in short."""
    finding = outlook.finding
    echo(f"{outlook.cask.cask_id}, {outlook.cask.spirit}, {outlook.cask.kind.name}, on {outlook.marks[0]}\n")
    rows = [
        (
            str(outlook.marks[k].year),
            band_text(outlook.litres[k], 0),
            strength_text(outlook.abv_pct[k]),
            band_text(outlook.rla_L[k], 1),
        )
        for k in some(len(outlook.marks))
    ]
    echo(plain_table(("year", "bulk, L", "%vol", "pure alcohol, L"), rows))
    echo("\n" + remark(f"{floor_words(outlook)} {humidity_words(outlook)}"))
    echo(f"\nloss over the model's {band_text(finding.factor, 2)}; leaks: {percent(finding.leaking)}")
    for age in outlook.ages:
        open_ = "" if age.sure else f": {age.sentence}"
        echo(hanging(f"{in_words((age.years, age.months, age.days))} {age.title}{open_}"))
    echo(remark(f"Gauge next by {outlook.next_gauge}: {outlook.next_gauge_why}."))
    if outlook.no_markers:
        echo("\n" + remark(f"What the wood gives is not said. {capital(outlook.no_markers)}"))
