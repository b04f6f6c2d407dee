"""The dossier as one HTML file that loads nothing: style and pictures stand inside it. See docs/order.md."""

from __future__ import annotations

import re
from functools import cache
from importlib import resources

import jinja2
from markupsafe import Markup

from gristwright.charts import render as charts
from gristwright.charts.changes import changes_chart
from gristwright.charts.ledger import staircase
from gristwright.documents.data import as_data
from gristwright.documents.dossier_view import DossierView
from gristwright.documents.view import CHARTED
from gristwright.quantities.shown import capital
from gristwright.records.results import Ledger, Recommendation

TEMPLATE = "dossier.html.j2"
PARTS = {
    "answer": "The answer in short",
    "present": "The present bill",
    "lots": "The lots",
    "offers": "",
    "ledger": "The litres ledger",
    "mash": "The mash, simulated",
    "cask": "What the cask does",
    "year": "A year of each bill",
    "moves": "What moves the answer from outside",
    "gain": "Give and gain",
    "boards": "The boards",
    "law": "What the law calls it",
    "will-not": "What it will not do",
    "rests": "What the answer rests on",
    "next": "What to measure and try",
    "over": "Going over",
    "order": "Mash-house order",
    "unusual": "What looked unusual in the input",
    "cautions": "Cautions",
    "made": "How this was made",
}


@cache
def _template() -> jinja2.Template:
    """The template; an unknown name in it is an error, and every text is escaped."""
    text = (resources.files("gristwright.documents") / "templates" / TEMPLATE).read_text(encoding="utf-8")
    environment = jinja2.Environment(
        autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    return environment.from_string(text)


def dossier_html(view: DossierView, answer: Recommendation) -> str:
    """The page. Numbers come from the view alone; pictures from the same figures."""
    parts = parts_of(view)
    text = _template().render(
        view=as_data(view),
        bars=ledger_bars(answer.present.ledger) if answer.present.ledger else [],
        pictures=change_pictures(answer),
        plane=plane_picture(view),
        mash_pictures=mash_pictures(view),
        lettered=lettered,
        parts=parts,
        title_of=dict(parts),
    )
    return text.lstrip()


def parts_of(view: DossierView) -> list[tuple[str, str]]:
    """Mark and title of every part, in order."""
    advice, moves = view.advice, view.sensitivity
    absent = {
        "next": not advice.measure_next and advice.trial is None,
        "over": view.change_over is None,
        "gain": view.gain is None and view.ages is None,
        "unusual": not advice.warnings,
        "moves": not (moves.one_percent or moves.flips or moves.withheld),
    }
    titles = PARTS | {"offers": advice.offers_title}
    return [(mark, title) for mark, title in titles.items() if not absent.get(mark)]


def lettered(column: str) -> str:
    """A column's head."""
    return column if len(column) > 1 else f"Offer {column}"


def ledger_bars(ledger: Ledger) -> list[dict[str, float | str]]:
    """Where each row's bar stands, in hundredths of the widest level: from, width, and kind."""
    steps = staircase(ledger)
    most = max(step.before for step in steps)
    return [
        {
            "kind": "loss" if step.row.kind == "loss" else "level",
            "start": round(100.0 * (min(step.before, step.after) if step.row.kind == "loss" else 0.0) / most, 2),
            "width": round(
                100.0 * (abs(step.before - step.after) if step.row.kind == "loss" else step.after) / most, 2
            ),
        }
        for step in steps
    ]


def change_pictures(answer: Recommendation) -> list[dict[str, str | Markup]]:
    """One picture for each difference, narrow enough for a small screen."""
    pictures: list[dict[str, str | Markup]] = []
    for number, key in enumerate(CHARTED):
        chart = changes_chart(answer.offers, (key,), width=230)
        if chart is None or key not in answer.offers[0].changes:
            continue
        label = capital(answer.offers[0].changes[key].label)
        pictures.append({"label": label, "svg": inline(charts.svg(chart), f"p{number}", label)})
    return pictures


def plane_picture(view: DossierView) -> Markup | None:
    """The give-and-gain plane, None without an offer."""
    if view.gain is None or view.gain.chart is None:
        return None
    chart = view.gain.chart
    return inline(charts.svg(chart), "plane", chart["description"])


def mash_pictures(view: DossierView) -> dict[str, Markup]:
    """The course of the mash, and the grid of plans where there is one."""
    drawn = {"course": view.mash.chart}
    if view.mash.grid is not None:
        drawn["grid"] = view.mash.grid.chart
    return {mark: inline(charts.svg(chart), mark, chart["description"]) for mark, chart in drawn.items()}


def inline(svg: str, mark: str, label: str) -> Markup:
    """An SVG fit to stand in a page: its ids its own, its size from the page, named for who cannot see it."""
    body = svg[svg.index("<svg") :]
    body = re.sub(r'\bid="([^"]+)"', rf'id="{mark}-\1"', body)
    body = re.sub(r"url\(#([^)]+)\)", rf"url(#{mark}-\1)", body)
    body = re.sub(r'\s(role|aria-[a-z]+)="[^"]*"', "", body)
    head, rest = body[: body.index(">")], body[body.index(">") :]
    return Markup(f'{head} role="img" aria-label="{Markup.escape(label)}"{rest}')
