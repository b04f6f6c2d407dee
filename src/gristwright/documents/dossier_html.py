"""The dossier as one HTML file that loads nothing: style and pictures stand inside it. See docs/order.md."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from importlib import resources

import jinja2
from markupsafe import Markup

from gristwright.charts import render as charts
from gristwright.charts.changes import changes_chart
from gristwright.charts.ledger import staircase
from gristwright.charts.theme import Chart
from gristwright.documents.data import Frozen, as_data
from gristwright.documents.dossier_view import DossierView
from gristwright.documents.view import FORMAT_OF_BEER, charted, with_changes
from gristwright.quantities.shown import capital
from gristwright.records.results import Ledger, Recommendation

PARTS = {
    "customer": "",
    "answer": "The answer as it was worked out",
    "present": "The present bill",
    "lots": "The lots",
    "offers": "",
    "boards": "The boards",
    "law": "What the law calls it",
    "ledger": "The litres ledger",
    "mash": "The mash, simulated",
    "wash": "The wash, simulated",
    "cask": "What the cask does",
    "year": "A year of each bill",
    "moves": "What moves the answer from outside",
    "gain": "Give and gain",
    "markers": "What reaches the spirit, in amounts",
    "dose": "How much, for how long",
    "will-not": "What it will not do",
    "rests": "What the answer rests on",
    "next": "What to measure and try",
    "over": "Going over",
    "unusual": "What looked unusual in the input",
    "cautions": "Cautions",
    "made": "How this was made",
    "order": "Mash-house order",
}
# What a brewer's answer has of them.
OF_BEER = (
    "customer",
    "answer",
    "present",
    "lots",
    "offers",
    "boards",
    "will-not",
    "rests",
    "unusual",
    "cautions",
    "made",
)


@cache
def _environment() -> jinja2.Environment:
    """The templates; an unknown name in them is an error, and every text is escaped."""
    return jinja2.Environment(
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        loader=jinja2.PackageLoader("gristwright.documents"),
    )


@dataclass(frozen=True)
class Bar:
    """A row's bar in the ledger, in hundredths of the widest level: where it starts, how wide it is."""

    kind: str
    start: float
    width: float


@dataclass(frozen=True)
class ChangePicture:
    """One difference between the offers and today as an SVG, and the chart it was drawn from."""

    label: str
    svg: str
    chart: Chart


@dataclass(frozen=True)
class HtmlPictures:
    """The pictures of the page: bars of the ledger, and SVG made to stand in a page."""

    bars: list[Bar]
    changes: list[ChangePicture]
    plane: str
    mash: dict[str, str]


def html_pictures(view: DossierView, answer: Recommendation) -> HtmlPictures:
    """Every picture of the page, from the figures of the answer."""
    bars = ledger_bars(answer.present.ledger) if answer.present.ledger else []
    return HtmlPictures(bars, change_pictures(answer), plane_picture(view), mash_pictures(view))


def pictures_of_beer(answer: Recommendation) -> HtmlPictures:
    """The pictures of a brewer's answer: what each offer changes."""
    return HtmlPictures([], change_pictures(answer), "", {})


def dossier_html(view: DossierView, answer: Recommendation) -> str:
    """The page. Numbers come from the view alone; pictures from the same figures."""
    return html_of(as_data(view), html_pictures(view, answer))


def html_of(data: Frozen, pictures: HtmlPictures) -> str:
    """The file from the view as plain data and its pictures."""
    return _rendered("dossier.html.j2", data, pictures)


def desk_page_of(data: Frozen, pictures: HtmlPictures) -> str:
    """The same parts as a page of the desk, each picture with the chart behind it."""
    return _rendered("dossier_desk.html.j2", data, pictures, live=True)


def parts_css() -> str:
    """The style of the parts, which the desk puts on its own page."""
    return (resources.files("gristwright.documents") / "templates" / "dossier_parts.css").read_text(encoding="utf-8")


def _rendered(template: str, data: Frozen, pictures: HtmlPictures, live: bool = False) -> str:
    parts = parts_of(data)
    text = (
        _environment()
        .get_template(template)
        .render(
            view=data,
            part="",
            live=live,
            bars=pictures.bars,
            pictures=[(Markup(one.svg), one.chart) for one in pictures.changes],
            customer_picture=_customer_picture(data),
            plane=Markup(pictures.plane),
            mash_pictures={mark: Markup(svg) for mark, svg in pictures.mash.items()},
            lettered=lettered,
            parts=parts,
            title_of=dict(parts),
        )
    )
    return text.lstrip()


def parts_of(data: Frozen) -> list[tuple[str, str]]:
    """Mark and title of every part, in order."""
    if data["format"] == FORMAT_OF_BEER:
        titles = PARTS | {"offers": data["offers_title"], "will-not": "What it leaves out"} | _of_customer(data)
        absent = {"unusual": not data["warnings"], "customer": "customer_pages" not in data}
        return [(mark, titles[mark]) for mark in OF_BEER if not absent.get(mark)]
    moves = data["sensitivity"]
    absent = {
        "customer": "customer_pages" not in data,
        "next": not data["measure_next"] and data["trial"] is None,
        "wash": data.get("wash") is None,  # answers kept by earlier releases have none
        "over": data["change_over"] is None,
        "gain": data["gain"] is None and data["ages"] is None,
        "markers": not data["markers"]["rows"],
        "dose": data["dose"] is None,
        "unusual": not data["warnings"],
        "moves": not (moves["one_percent"] or moves["flips"] or moves["withheld"]),
    }
    titles = PARTS | {"offers": data["offers_title"]} | _of_customer(data)
    return [(mark, title) for mark, title in titles.items() if not absent.get(mark)]


def _of_customer(data: Frozen) -> dict[str, str]:
    """The title of the customer's part in its own language; none in an answer of an earlier release."""
    return {"customer": data["customer_pages"]["words"]["answer"]} if "customer_pages" in data else {}


def _customer_picture(data: Frozen) -> Markup:
    """The customer's picture to stand in a page; empty where there is none."""
    picture = data["customer_pages"]["picture"] if "customer_pages" in data else None
    if picture is None:
        return Markup("")
    return Markup(inline(charts.svg(picture["chart"]), "customer", picture["chart"]["description"]))


def lettered(column: str) -> str:
    """A column's head."""
    return column if len(column) > 1 else f"Offer {column}"


def ledger_bars(ledger: Ledger) -> list[Bar]:
    """Where each row's bar stands, in hundredths of the widest level: from, width, and kind."""
    steps = staircase(ledger)
    most = max(step.before for step in steps)
    return [
        Bar(
            kind="loss" if step.row.kind == "loss" else "level",
            start=round(100.0 * (min(step.before, step.after) if step.row.kind == "loss" else 0.0) / most, 2),
            width=round(100.0 * (abs(step.before - step.after) if step.row.kind == "loss" else step.after) / most, 2),
        )
        for step in steps
    ]


def change_pictures(answer: Recommendation) -> list[ChangePicture]:
    """One picture for each difference, narrow enough for a small screen, with its chart."""
    pictures: list[ChangePicture] = []
    bills = with_changes(answer)
    for number, key in enumerate(charted(answer)):
        chart = changes_chart(bills, (key,), width=230)
        if chart is None or key not in bills[0][1].changes:
            continue
        label = capital(bills[0][1].changes[key].label)
        pictures.append(ChangePicture(label, inline(charts.svg(chart), f"p{number}", label), chart))
    return pictures


def plane_picture(view: DossierView) -> str:
    """The give-and-gain plane, empty without an offer."""
    if view.gain is None or view.gain.chart is None:
        return ""
    chart = view.gain.chart
    return inline(charts.svg(chart), "plane", chart["description"])


def mash_pictures(view: DossierView) -> dict[str, str]:
    """The course of the mash and of its wash, and the grid of plans where there is one."""
    drawn = {"course": view.mash.chart}
    if view.wash is not None:
        drawn["wash"] = view.wash.chart
    if view.mash.grid is not None:
        drawn["grid"] = view.mash.grid.chart
    return {mark: inline(charts.svg(chart), mark, chart["description"]) for mark, chart in drawn.items()}


def inline(svg: str, mark: str, label: str) -> str:
    """An SVG fit to stand in a page: its ids its own, its size from the page, named for who cannot see it."""
    body = svg[svg.index("<svg") :]
    body = re.sub(r'\bid="([^"]+)"', rf'id="{mark}-\1"', body)
    body = re.sub(r"url\(#([^)]+)\)", rf"url(#{mark}-\1)", body)
    body = re.sub(r'\s(role|aria-[a-z]+)="[^"]*"', "", body)
    head, rest = body[: body.index(">")], body[body.index(">") :]
    return f'{head} role="img" aria-label="{Markup.escape(label)}"{rest}'
