"""Lots, offers and shares in another order give the same figures and sentences, to the last digit and letter."""

from __future__ import annotations

import random
from dataclasses import fields, is_dataclass, replace
from typing import Any

import pytest

from examples.test_scenarios import EXAMPLES, GRAIN, MALT, lots
from gristwright import casework
from gristwright.basics import Problem
from gristwright.files.jobs_in import read_bill, read_enquiry
from gristwright.records.lot import Lot

MEMBERS = 256
# Where a row stands in its file is what the shuffle changes.
PLACES = ("where",)


def shuffled(items: tuple[Any, ...], seed: int) -> tuple[Any, ...]:
    mixed = list(items)
    random.Random(seed).shuffle(mixed)
    return tuple(mixed)


def leaves(found: Any, path: str = "") -> dict[str, Any]:
    """Every number and text of a result by where it stands."""
    if isinstance(found, Lot | Problem):
        return {}
    if is_dataclass(found) and not isinstance(found, type):
        parts = {f.name: getattr(found, f.name) for f in fields(found) if f.name not in PLACES}
        return {key: leaf for name, part in parts.items() for key, leaf in leaves(part, f"{path}.{name}").items()}
    if isinstance(found, dict):
        return {key: leaf for name, part in found.items() for key, leaf in leaves(part, f"{path}[{name}]").items()}
    if isinstance(found, tuple | list):
        return {key: leaf for k, part in enumerate(found) for key, leaf in leaves(part, f"{path}[{k}]").items()}
    return {path: found}


@pytest.mark.parametrize("house", [MALT, GRAIN])
def test_a_bill(house: str) -> None:
    sheet = read_bill(EXAMPLES / house / "bill.toml").accepted()
    one = casework.forecast(sheet, lots(house), members=MEMBERS)
    other = casework.forecast(sheet, shuffled(lots(house), 3), members=MEMBERS)
    assert leaves(one) == leaves(other)


@pytest.mark.parametrize("house", [MALT, GRAIN])
def test_an_answer(house: str) -> None:
    asked = read_enquiry(EXAMPLES / house / "enquiry.toml").accepted()
    one = casework.advise(asked, lots(house), members=MEMBERS)
    other = casework.advise(asked, shuffled(lots(house), 7), members=MEMBERS)
    assert leaves(one) == leaves(other)
    # What is asked stands in the answer in the order it was asked; the figures do not go by it.
    asked_otherwise = replace(asked, offered=shuffled(asked.offered, 5))
    third = casework.advise(asked_otherwise, lots(house), members=MEMBERS)
    assert leaves(one.present) == leaves(third.present)
    assert [leaves(offer) for offer in one.offers] == [leaves(offer) for offer in third.offers]
    assert leaves(one.measure_next) == leaves(third.measure_next)


def test_a_lot_more_moves_no_other() -> None:
    """A lot that nobody mashes changes nothing of today's bill."""
    sheet = read_bill(EXAMPLES / MALT / "bill.toml").accepted()
    alone = casework.forecast(sheet, [lot for lot in lots(MALT) if lot.lot_id == "PD-1"], members=MEMBERS)
    more = casework.forecast(sheet, lots(MALT), members=MEMBERS)
    assert leaves(alone.result.figures) == leaves(more.result.figures)
