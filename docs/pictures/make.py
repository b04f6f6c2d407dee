"""Draw the pictures of the README and the docs anew from the invented examples. Run: make pictures."""

from pathlib import Path

from gristwright import casework
from gristwright.charts.ledger import ledger_chart
from gristwright.charts.render import svg
from gristwright.documents.render import compile_pages
from gristwright.documents.view import recommendation_view
from gristwright.files.jobs_in import read_enquiry
from gristwright.files.lots_in import read_lots

HERE = Path(__file__).parent
EXAMPLE = HERE.parents[1] / "examples" / "all-malt-pot"


def main() -> None:
    """Answer the example enquiry and keep its first page and its ledger."""
    answer = casework.advise(
        read_enquiry(EXAMPLE / "enquiry.toml").accepted(), read_lots(EXAMPLE / "lots.csv").accepted()
    )
    pages = compile_pages(recommendation_view(answer), answer.present.litres, ppi=100)
    (HERE / "recommendation-1.png").write_bytes(pages[0])
    (HERE / "ledger.svg").write_text(svg(ledger_chart(answer.present.litres)), encoding="utf-8")


if __name__ == "__main__":
    main()
