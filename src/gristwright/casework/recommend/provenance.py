"""What the numbers of an answer were made from and with. See docs/casework.md."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from gristwright import __version__
from gristwright.casework.bench.bench import GristBench
from gristwright.records.enquiry import Enquiry
from gristwright.records.results import BillResult, Provenance


def provenance(
    bench: GristBench, enquiry: Enquiry, present: BillResult, inputs: Sequence[tuple[str, str]]
) -> Provenance:
    """Version, seed, draws, files by their SHA-256, texts of law, and how long the answer holds."""
    return Provenance(
        version=__version__,
        seed=bench.seed,
        members=len(bench.weights),
        inputs=tuple(inputs),
        rule_dates=tuple((answer.category, answer.version_date, answer.read_on) for answer in present.law),
        judged_on=enquiry.date,
        issued=enquiry.date,
        valid_until=enquiry.date + dt.timedelta(days=enquiry.valid_days),
    )
