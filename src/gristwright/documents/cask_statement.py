"""A cask statement as one page and the JSON it was printed from. See docs/stock.md."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeAlias

from gristwright.basics import Band
from gristwright.charts import render as charts
from gristwright.charts.cask import cask_chart
from gristwright.documents import render
from gristwright.documents.assumptions import AssumedView, assumptions_view
from gristwright.documents.data import SPREAD
from gristwright.documents.entries import DateView, Entry, FootNotes, HeadView, date_entry, entry, percent, readable
from gristwright.documents.provenance import MadeView, made_view
from gristwright.files.writing import write_set
from gristwright.quantities.shown import capital, plain, with_interval
from gristwright.records.stock import CaskForecast
from gristwright.rules.hazard.model import cautions

FORMAT, TEMPLATE = "gristwright.cask_statement/1", "cask_statement.typ"
PLANNING_AID = "Planning aid: not a duty account and not legal advice."
GAUGED, FORECAST, PRIOR = "as gauged", "forecast of the stock", "prior of the cask room"
INVENTED = "Invented example"
RECORDS = "Keep the records your excise authority prescribes, by its tables and instruments: this page replaces none."
Texts: TypeAlias = tuple[str, ...]
METHODS = {"weighed": "weighed", "metered": "metered", "dipped": "dipped", "stated": "method not stated"}


@dataclass(frozen=True)
class AgeView:
    """The age of the youngest, counted one way."""

    title: str
    years: int
    months: int
    days: int
    says: str


@dataclass(frozen=True)
class LossView:
    """What is lost a year, of the original and of the remaining."""

    title: str
    of_original: Entry
    of_remaining: Entry


@dataclass(frozen=True)
class NextGauge(DateView):
    """When to gauge next, and why then."""

    why: str


@dataclass(frozen=True)
class StatementView(HeadView):
    """One cask: rows of texts for its tables, losses, ages, what its gauges say, and the forecast."""

    cask: tuple[Texts, ...]
    gauges: tuple[Texts, ...]
    losses: tuple[LossView, ...]
    ages: tuple[AgeView, ...]
    factor: Entry
    factor_before: Entry
    leaking: str
    multiple: str
    years: tuple[Texts, ...]
    floor: str
    next_gauge: NextGauge
    humidity: str
    markers: tuple[Texts, ...]
    markers_on: int | str
    no_markers: str
    assumed: AssumedView = field(metadata=SPREAD)
    cautions: tuple[str, ...]
    provenance: MadeView
    notes: FootNotes


def statement_view(cask: CaskForecast, inputs: Sequence[tuple[str, str]] = (), invented: bool = False) -> StatementView:
    """Every text and number of a statement."""
    stock, finding = cask.cask, cask.finding
    view = StatementView(
        format=FORMAT,
        language="en",
        title=f"Cask {stock.cask_id}",
        customer=stock.spirit or "spirit not named",
        invented=invented,
        issued=date_entry(cask.marks[0]),
        cask=_cask_rows(cask),
        gauges=_gauge_rows(cask),
        losses=_losses(cask),
        ages=tuple(AgeView(age.title, age.years, age.months, age.days, age.sentence) for age in cask.ages),
        factor=entry("factor", "loss over the model's", "ratio", finding.factor, 2, basis=FORECAST),
        factor_before=entry("factor_before", "before any gauge", "ratio", finding.prior, 2, basis=PRIOR),
        leaking=percent(finding.leaking),
        multiple=plain(finding.multiple, 1),
        years=_years(cask),
        floor=floor_words(cask),
        next_gauge=NextGauge(**vars(date_entry(cask.next_gauge)), why=cask.next_gauge_why),
        humidity=humidity_words(cask),
        markers=_markers(cask),
        markers_on=cask.markers_on.year if cask.markers_on else "",
        no_markers=capital(cask.no_markers),
        assumed=assumptions_view(cask.assumptions, {}, ""),
        cautions=(*(caution.text for caution in cautions("spirit", "licence", "label")), RECORDS),
        provenance=made_view(inputs),
        notes=FootNotes(PLANNING_AID, INVENTED if invented else ""),
    )
    return readable(view)


def _cask_rows(cask: CaskForecast) -> tuple[Texts, ...]:
    stock, kind = cask.cask, cask.cask.kind
    wood = f"{kind.wood}, {'charred' if kind.charred else 'not charred'}{', rejuvenated' if stock.rejuvenated else ''}"
    held = kind.prior_contents or "nothing"
    out_of = f", out of {', '.join(stock.sources)}" if stock.sources else ""
    return (
        ("Cask", f"{kind.name}, {plain(kind.capacity_L, 0)} L, wall {plain(kind.wall_mm, 0)} mm"),
        ("Wood", f"{wood}; fill {kind.fill_number}; held {held} before"),
        ("Filled", f"{date_entry(stock.filled).text}{out_of}"),
        ("Original", f"{plain(stock.fill_L, 1)} L at {plain(stock.fill_abv_pct, 1)} %vol"),
        ("OLA", f"{plain(stock.fill_L * stock.fill_abv_pct / 100.0, 2)} L of pure alcohol"),
        ("Lies in", " ".join(part for part in (stock.store, stock.place) if part) or "not stated"),
    )


def _gauge_rows(cask: CaskForecast) -> tuple[Texts, ...]:
    """Filling, regauges and today's forecast: day, bulk, strength, pure alcohol, how and at what temperature."""
    stock = cask.cask
    rows = [
        _gauge(stock.filled, stock.fill_L, stock.fill_abv_pct, f"filled, {METHODS[stock.fill_method]}", stock.fill_degC)
    ]
    rows += [_gauge(e.date, e.litres, e.abv_pct, METHODS[e.method], e.degC) for e in stock.gauges[-5:]]
    today = [with_interval(b, d) for b, d in ((cask.litres[0], 1), (cask.abv_pct[0], 1), (cask.rla_L[0], 2))]
    return (*rows, (date_entry(cask.marks[0]).text, *today, "forecast"))


def _gauge(day: dt.date, litres: float, abv: float, how: str, degC: float | None) -> Texts:
    at = "" if degC is None else f", {plain(degC, 0)} degC"
    alcohol = plain(litres * abv / 100.0, 2)
    return date_entry(day).text, plain(litres, 1), plain(abv, 1), alcohol, f"{how}{at}"


def _losses(cask: CaskForecast) -> tuple[LossView, ...]:
    losses = cask.losses
    if losses is None:
        return ()
    rows = (
        ("bulk", "bulk litres", losses.bulk_of_original, losses.bulk_of_remaining),
        ("alcohol", "pure alcohol", losses.alcohol_of_original, losses.alcohol_of_remaining),
    )
    return tuple(_loss(*row) for row in rows)


def _loss(key: str, title: str, original: Band, remaining: Band) -> LossView:
    return LossView(
        title=title,
        of_original=entry(f"{key}_original", "of the original", "% a year", original, 2, basis=FORECAST),
        of_remaining=entry(f"{key}_remaining", "of the remaining", "% a year", remaining, 2, basis=FORECAST),
    )


def _years(cask: CaskForecast) -> tuple[Texts, ...]:
    """The forecast in some years, at most six rows."""
    last = len(cask.marks) - 1
    picked = sorted({0, *(k for k in (1, 2, 3, 5, 8, 12, 15, 20, 25, 30) if k < last), last})
    picked = picked if len(picked) <= 6 else [*picked[1:5], *picked[-2:]]
    return tuple(
        (
            str(cask.marks[k].year),
            with_interval(cask.litres[k], 0),
            strength_text(cask.abv_pct[k]),
            with_interval(cask.rla_L[k], 1),
        )
        for k in picked
        if k
    )


def strength_text(band: Band) -> str:
    """A strength with its interval, or that the cask has run dry."""
    return with_interval(band, 1) if _finite(band) else "dry"


def _finite(band: Band) -> bool:
    return band.middle == band.middle


def floor_words(cask: CaskForecast) -> str:
    """When strength falls under the floor of a bottle, and whether the cask runs dry; paper and terminal say it."""
    floor, last = f"the floor of {plain(cask.floor_abv_pct, 0)} %vol", cask.marks[-1].year
    if cask.abv_pct[0].high < cask.floor_abv_pct:
        return f"Strength is under {floor} already."
    dry = next((mark.year for mark, band in zip(cask.marks, cask.abv_pct, strict=True) if not _finite(band)), None)
    ends = f" It runs dry by {dry} in half of the runs or more." if dry else ""
    if cask.floor_year is None:
        return f"Strength stays at or above {floor} to {dry or last} in every run.{ends}"
    low, middle, high = (f"{year:.0f}" for year in (cask.floor_year.low, cask.floor_year.middle, cask.floor_year.high))
    when = middle if low == high else f"{middle} ({low} to {high})"
    return f"Strength falls under {floor} by {last} in {percent(cask.floor_chance)} of the runs, then in {when}.{ends}"


def _markers(cask: CaskForecast) -> tuple[Texts, ...]:
    """Grams a cask, today and at the last mark, with where they come from and the standing of the table."""
    return tuple(
        (marker.title, with_interval(marker.today, 0), with_interval(marker.last, 0), marker.origin, marker.standing)
        for marker in cask.markers
    )


def humidity_words(cask: CaskForecast) -> str:
    """The humidity of the store against the one at which strength stays put."""
    store, neutral = 100.0 * cask.store_humidity, 100.0 * cask.neutral_humidity
    way = "falls" if store > neutral else "rises"
    return (
        f"Store at {store:.0f} % humidity over the year; strength stays put at about {neutral:.0f} %, so here it {way}."
    )


def statement_pages(view: StatementView, cask: CaskForecast, ppi: float | None = None) -> list[bytes]:
    """The page as a PDF, or as PNG when `ppi` [dots per inch] is given."""
    picture = cask_chart(cask)
    drawn = json.dumps({"fan": picture["description"]}, allow_nan=False)
    return render.pages(TEMPLATE, view, {"drawn.json": drawn, "fan.svg": charts.svg(picture)}, ppi)


def write_statement(
    cask: CaskForecast, folder: Path, inputs: Sequence[tuple[str, str]] = (), invented: bool = False
) -> tuple[Path, ...]:
    """Write cask-ID.pdf and cask-ID.json, both or neither. Raises Refused when the folder cannot be written to."""
    view = statement_view(cask, inputs, invented)
    stem = "cask-" + "".join(c if c.isalnum() or c in "-_" else "_" for c in cask.cask.cask_id)
    contents = {f"{stem}.pdf": statement_pages(view, cask)[0], f"{stem}.json": render.view_json(view)}
    return write_set(folder, contents)
