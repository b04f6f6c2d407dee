"""One bill of one house: what every job computes bills on, and all that is said of one. See docs/casework.md."""

from gristwright.casework.bench.anchor import anchor
from gristwright.casework.bench.assess import assess
from gristwright.casework.bench.bench import Bench, GristBench, SpiritBench
from gristwright.casework.bench.boards import why_of
from gristwright.casework.bench.capacity import capacity_lines, year_t
from gristwright.casework.bench.law_in_short import basis_words, headlines
from gristwright.casework.bench.law_of_bill import LawOfBill, law_of_bill
from gristwright.casework.bench.limits import (
    all_problems,
    brewing_problems,
    enquiry_problems,
    needed_lots,
)
from gristwright.casework.bench.one_bill import Forecast, check, forecast
from gristwright.casework.bench.setting_up import set_up, set_up_spirit
from gristwright.casework.bench.smoke_of_lot import LotMarkers, lot_markers
from gristwright.casework.bench.withheld import first_of
from gristwright.casework.bench.words import bill_cautions

__all__ = [
    "Bench",
    "Forecast",
    "GristBench",
    "LawOfBill",
    "LotMarkers",
    "SpiritBench",
    "all_problems",
    "anchor",
    "assess",
    "basis_words",
    "bill_cautions",
    "brewing_problems",
    "capacity_lines",
    "check",
    "enquiry_problems",
    "first_of",
    "forecast",
    "headlines",
    "law_of_bill",
    "lot_markers",
    "needed_lots",
    "set_up",
    "set_up_spirit",
    "why_of",
    "year_t",
]
