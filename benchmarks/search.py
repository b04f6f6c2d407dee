"""How fast bills are found. Run: .venv/bin/python benchmarks/search.py. Ratios are of one run on one machine."""

from __future__ import annotations

import dataclasses
import resource
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from gristwright import casework
from gristwright.casework.bench.setting_up import set_up
from gristwright.documents.recommendation import recommendation_pdf
from gristwright.documents.view import recommendation_view
from gristwright.files.certificates.lots_in import read_lots
from gristwright.files.jobs_in import read_enquiry
from gristwright.records.enquiry import Enquiry, Offered
from gristwright.records.lot import Lot

EXAMPLE = Path(__file__).parents[1] / "examples" / "all-malt-pot"
# Four more invented lots, so that eight are offered: type, price a tonne, most of it in 0.01 %.
MORE = (
    ("caramel_malt_light", 700.0, 1500),
    ("munich_malt", 600.0, 2000),
    ("roasted_malt", 800.0, 300),
    ("pale_ale_malt", 560.0, 4000),
)


def timed(what: Callable[[], object]) -> tuple[float, object]:
    """Seconds and result."""
    start = time.perf_counter()
    result = what()
    return time.perf_counter() - start, result


def eight_offered() -> tuple[Enquiry, list[Lot]]:
    """The first scenario with eight lots on offer and the 1 % grid."""
    enquiry = read_enquiry(EXAMPLE / "enquiry.toml").accepted()
    lots = list(read_lots(EXAMPLE / "lots.csv").accepted())
    offered = list(enquiry.offered)
    for number, (material, price, most) in enumerate(MORE):
        lots.append(
            dataclasses.replace(lots[2], lot_id=f"X{number}", material=material, analyses=(), lot_number=f"N{number}")
        )
        offered.append(Offered(f"X{number}", price, 0, most))
    group = dataclasses.replace(enquiry.groups[0], lot_ids=("CM-120", "CM-300", "X0", "X2"))
    return dataclasses.replace(enquiry, offered=tuple(offered), groups=(group,), grid_parts=100), lots


def main() -> None:
    """Print every figure once."""
    enquiry, lots = eight_offered()
    seconds, answer = timed(lambda: casework.advise(enquiry, lots))
    search = answer.search  # type: ignore[attr-defined]
    print(f"8 lots offered, 1 % grid: {seconds:.1f} s")
    print(
        f"bills on the declared grid inside the ranges {search.bills_on_grid:,}, evaluated {search.bills_evaluated:,}"
    )
    print(search.how)
    view_s, view = timed(lambda: recommendation_view(answer))  # type: ignore[arg-type]
    pdf_s, _ = timed(lambda: recommendation_pdf(view, answer.present.litres))  # type: ignore[arg-type,attr-defined]
    print(f"page description {view_s:.2f} s, PDF {pdf_s:.2f} s")

    prices = {offered.lot_id: offered.price_per_t for offered in enquiry.offered}
    bench = set_up(lots, prices, enquiry.plant, enquiry.cask, [])
    shares = np.random.default_rng(1).dirichlet(np.ones(len(lots)), 100_000)
    batch, _ = timed(lambda: bench.new_make(shares, bench.middles))
    few, _ = timed(lambda: [bench.new_make(row, bench.middles) for row in shares[:200]])
    print(f"one by one over batched: {few / 200 / (batch / len(shares)):.0f} times as long a bill")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    print(f"peak memory {peak:.2f} GB")


if __name__ == "__main__":
    main()
