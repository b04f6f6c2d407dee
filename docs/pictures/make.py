"""Draw the pictures of the README, the docs and every scenario anew from the invented examples. Run: make pictures."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

import vl_convert

from gristwright import casework
from gristwright.casework.mash_house.over import axis_of
from gristwright.casework.mash_house.vary import vary
from gristwright.casework.recommend.dossier import dossier
from gristwright.charts.changes import changes_chart
from gristwright.charts.heat_map import variation_chart
from gristwright.charts.ledger import ledger_chart
from gristwright.charts.mash_course import course_chart
from gristwright.charts.render import svg
from gristwright.charts.theme import Chart
from gristwright.documents.recommendation import recommendation_pages
from gristwright.documents.view import recommendation_view
from gristwright.files.certificates.lots_in import read_lots
from gristwright.files.jobs_in import read_bill, read_enquiry
from gristwright.records.enquiry import Enquiry
from gristwright.records.lot import Lot
from gristwright.records.order import Dossier

HERE = Path(__file__).parent
EXAMPLES = HERE.parents[1] / "examples"
CHANGED = ("lpa_per_t", "cost_per_lpa")
SCALE = 1.5
# Pictures that a command draws: name here, folder, command, file it writes.
BY_COMMAND = (
    (
        "cask-stock",
        "cask-stock",
        "cask forecast casks.csv --climate store.csv --on 2026-11-25 --rates rates.csv --abv 46 --chart",
        "stock.svg",
    ),
    (
        "ageing-reading",
        "ageing-programme",
        "ageing claim ladder.csv arms.csv --claim 3:6-8 --chart",
        "claim-reading-1.svg",
    ),
)


def main() -> None:
    """Every picture, each from its own example."""
    malt = _answered("all-malt-pot", "lots.csv")
    present = malt.recommendation.present.litres
    pages = recommendation_pages(
        recommendation_view(casework.advise(*_asked("all-malt-pot", "lots.csv"))), present, ppi=100
    )
    (HERE / "recommendation-1.png").write_bytes(pages[0])
    _keep("ledger", ledger_chart(present))
    _keep("all-malt-changes", changes_chart(malt.recommendation.told, CHANGED))
    grain = _answered("maize-rye-column", "certificates.xlsx")
    _keep("maize-rye-changes", changes_chart(grain.recommendation.told, CHANGED))
    _keep("maize-rye-mash", course_chart(grain.mash.run))
    _keep("raw-barley-mash", _of_beer())
    for name, folder, command, file in BY_COMMAND:
        _by_command(name, folder, command, file)


def _asked(example: str, lots: str) -> tuple[Enquiry, tuple[Lot, ...]]:
    folder = EXAMPLES / example
    return read_enquiry(folder / "enquiry.toml").accepted(), read_lots(folder / lots).accepted()


def _answered(example: str, lots: str) -> Dossier:
    return dossier(*_asked(example, lots))


def _of_beer() -> Chart:
    folder = EXAMPLES / "raw-barley-beer"
    axes = [axis_of("mash.rests.1.settled_degC=60:68:2"), axis_of("mash.liquor_L_per_kg=2.6:3.8:0.6")]
    lots = read_lots(folder / "certificates.xlsx").accepted()
    return variation_chart(vary(read_bill(folder / "bill.toml").accepted(), lots, axes))


def _by_command(name: str, folder: str, command: str, file: str) -> None:
    with tempfile.TemporaryDirectory() as out:
        run = [str(Path(sys.executable).parent / "gristwright"), *command.split(), "--out", out]
        subprocess.run(run, cwd=EXAMPLES / folder, check=True, stdout=subprocess.DEVNULL)
        _keep_svg(name, (Path(out) / file).read_text(encoding="utf-8"))


def _keep(name: str, chart: Chart | None) -> None:
    if chart is not None:
        _keep_svg(name, svg(chart))


def _keep_svg(name: str, text: str) -> None:
    """As PNG: a reader of the page may not have the font whose widths the chart was laid out with."""
    (HERE / f"{name}.png").write_bytes(vl_convert.svg_to_png(text, scale=SCALE))


if __name__ == "__main__":
    main()
