"""No sentence contradicts a table of the same page: every example, and enquiries drawn by lot over many houses."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from gristwright import casework
from gristwright.basics import Refused
from gristwright.files.certificates import read_lots
from gristwright.files.jobs_in import read_enquiry
from gristwright.records.bill import Bill, Share, shares_named
from gristwright.records.enquiry import Enquiry, Group, Limits
from gristwright.records.plant import Plant
from gristwright.records.results import Recommendation
from house.places import EXAMPLES
from houses import KNOWN, LOTS, brewhouse, enquiry, tun, whole_mash
from text_and_numbers import contradictions

ENQUIRIES = sorted(EXAMPLES.glob("*/enquiry.toml"))
MEMBERS, COUNT, ROUNDS = 64, 200, 8
NAMES = ["EU_WHISKY", "EU_SINGLE_MALT", "US_RYE"]
# Grains that an invented house may have, by how they are mashed.
COOKED = ("HE-1", "RM-1", "MZ-1", "RW-1", "PD-1")
DRAWN_OFF = ("PD-1", "HE-1", "RM-1", "WM-1", "CM-1", "CR-1", "RB-1")


@pytest.mark.parametrize("path", ENQUIRIES, ids=lambda path: path.parent.name)
def test_every_example_says_what_its_numbers_say(path: Path) -> None:
    lots = next(name for name in ("lots.csv", "certificates.xlsx") if (path.parent / name).exists())
    given = read_lots(path.parent / lots).accepted()
    assert contradictions(casework.advise(read_enquiry(path).accepted(), given, members=512)) == []


def drawn(seed: int) -> Enquiry:
    """An enquiry by lot: a house, lots and a bill of today, ranges, limits, names, bills asked about."""
    lot = random.Random(seed)
    plant: Plant = lot.choice([
        lambda: tun("tun", lot.uniform(61.0, 70.0)),
        lambda: tun("lauter", lot.uniform(61.0, 68.0), plate_area_m2=lot.choice([8.0, 12.0, 20.0])),
        lambda: tun("filter", 64.0, chambers_L=4000.0),
        lambda: whole_mash(lot.uniform(60.0, 66.0)),
        lambda: whole_mash(63.0, cook=None),
        lambda: brewhouse("lauter", lot.uniform(62.0, 68.0)),
    ])()  # fmt: skip
    kinds = COOKED if plant.mash.cook_degC is not None else DRAWN_OFF
    names = lot.sample(kinds, lot.choice([2, 2, 3]))
    if not any(KNOWN[name][0].endswith("malt") and "caramel" not in KNOWN[name][0] for name in names):
        names[0] = "HE-1" if plant.mash.cook_degC is not None else "PD-1"
    beer = plant.wort_boiled
    ranges = {name: lot.choice([(0.0, 100.0), (0.0, 50.0), (10.0, 100.0), (0.0, 30.0)]) for name in names}
    given: dict[str, Any] = {
        "grid_parts": lot.choice([1000, 2000, 2500]),
        "categories": () if beer else tuple(lot.sample(NAMES, lot.choice([0, 1, 2]))),
        "asked": tuple(_bill(lot, names) for _ in range(lot.choice([0, 1, 1, 2]))),
        "groups": _groups(lot, names),
        "limits": Limits() if beer or lot.random() < 0.6 else Limits(least_lpa_per_t=lot.choice([250.0, 340.0, 380.0])),
    }  # fmt: skip
    if beer:
        given |= {"purpose": "beer", "cask": None}
    made = enquiry(_bill(lot, names, "today"), plant, ranges, **given)
    bills = {frozenset(bill.shares): bill for bill in made.asked}
    return replace(made, asked=tuple(bills.values()))


def _bill(lot: random.Random, names: list[str], name: str = "") -> Bill:
    cuts = sorted(lot.sample(range(1, 20), len(names) - 1))
    parts = [500 * (high - low) for low, high in zip([0, *cuts], [*cuts, 20], strict=True)]
    shares = tuple(Share(one, part) for one, part in zip(names, parts, strict=True))
    return Bill(name or shares_named(shares), shares)


def _groups(lot: random.Random, names: list[str]) -> tuple[Group, ...]:
    if len(names) < 3 or lot.random() < 0.7:
        return ()
    return (Group("two of them", tuple(names[1:]), 1000, 6000),)


def answered(asked: Enquiry) -> Recommendation | None:
    """The answer; None where the enquiry itself is refused."""
    try:
        return casework.advise(asked, LOTS, members=MEMBERS)
    except Refused:
        return None


@pytest.mark.parametrize("part", range(ROUNDS))
def test_enquiries_by_lot_say_what_their_numbers_say(part: int) -> None:
    seeds = range(part, COUNT, ROUNDS)
    answers = {seed: answered(drawn(seed)) for seed in seeds}
    found = {seed: contradictions(answer) for seed, answer in answers.items() if answer is not None}
    assert {seed: said for seed, said in found.items() if said} == {}
    assert sum(answer is not None for answer in answers.values()) > 0.8 * len(answers)
