"""A bill whose wash the still's balance was not made for: its litres are withheld, the search goes on without it."""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import pytest

from gristwright import casework
from gristwright.casework.bench.withheld import wash_out_of_balance
from gristwright.numerics.runs import Runs
from gristwright.numerics.weights import equal_weights
from gristwright.records.streams import Wash
from houses import LOTS, bill, enquiry, sheet, tun

MEMBERS = 256
WEAK = bill("mostly caramel", PD_1=4, CM_1=96)


def test_such_a_bill_is_answered_without_its_litres() -> None:
    result = casework.forecast(sheet(WEAK, tun()), LOTS, members=MEMBERS).result
    assert result.withheld is not None and "lpa_per_t" not in result.figures
    assert "the wash has" in result.withheld.because
    assert "the still's balance was made for 4 to 13 %vol" in result.withheld.because
    assert next(board for board in result.boards if board.key == "enzymes").figure is not None


def test_a_search_without_bounds_is_not_stopped_by_it() -> None:
    asked = enquiry(bill(PD_1=100), tun(), {"PD-1": (0.0, 100.0), "CM-1": (0.0, 100.0)})
    answer = casework.advise(asked, LOTS, members=MEMBERS)
    assert answer.offers
    assert all(offer.result.withheld is None for offer in answer.offers)


@pytest.mark.parametrize(
    ("abv_pct", "said"), [(3.98, "3.98 %vol"), (4.0, ""), (13.04, "13.04 %vol"), (14.2, "14.2 %vol")]
)
def test_the_value_never_reads_as_the_limit(abv_pct: float, said: str) -> None:
    wash = Wash(**{field.name: np.full(4, abv_pct) for field in fields(Wash)})
    text = wash_out_of_balance(wash, Runs(equal_weights(4)))
    assert said in text and bool(text) == bool(said)
