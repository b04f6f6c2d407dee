"""Every prior and every table says what it is, where it comes from and how sure that is."""

from __future__ import annotations

import csv
import math
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from gristwright.basics import Prior, Standing
from gristwright.numerics.draws import prior_band
from gristwright.reference import priors, process_priors
from gristwright.reference.load import ROOMS
from house.places import PACKAGE

TABLES = PACKAGE / "reference" / "tables"
ARGUMENTS = {"fixed": 1, "normal": 2, "lognormal": 2, "uniform": 2, "loguniform": 2}
STANDINGS = {standing.value for standing in Standing}
# Of the proof, and of what a wash makes besides: no bill's litres are computed on them, so draws of the process leave
# them out.
PROOF = ("ageing", "wash_besides")
ALL = [*process_priors(), *(p for room in PROOF for p in priors(room))]
CSV = sorted(TABLES.glob("*.csv"))


def named(item: Prior | Path) -> str:
    return item.name


@pytest.mark.parametrize("prior", ALL, ids=named)
def test_a_prior_says_what_it_is(prior: Prior) -> None:
    assert prior.unit
    assert prior.meaning
    assert prior.source.text
    assert prior.source.standing not in (Standing.INVENTED, Standing.MEASURED)
    assert len(prior.arguments) == ARGUMENTS[prior.family]


@pytest.mark.parametrize("prior", ALL, ids=named)
def test_a_prior_is_in_order(prior: Prior) -> None:
    band = prior_band(prior)
    if prior.family != "fixed":
        assert math.isfinite(prior.low)
        assert math.isfinite(prior.high)
        assert prior.low < band.low < band.middle < band.high < prior.high
    if prior.family in ("normal", "lognormal"):
        assert prior.low < prior.arguments[0] < prior.high
        assert prior.arguments[1] > (1.0 if prior.family == "lognormal" else 0.0)


@pytest.mark.parametrize("room", [*ROOMS, *PROOF])
def test_priors_carry_the_name_of_their_room(room: str) -> None:
    assert all(prior.name.startswith(f"{room}.") for prior in priors(room))


def test_no_prior_is_named_twice() -> None:
    assert len({prior.name for prior in ALL}) == len(ALL)


def test_every_file_of_priors_is_looked_at() -> None:
    assert {path.stem for path in (PACKAGE / "reference" / "priors").glob("*.toml")} == {*ROOMS, *PROOF}


@pytest.mark.parametrize("path", CSV, ids=named)
def test_a_table_has_its_source_beside_it(path: Path) -> None:
    beside = path.with_suffix(".toml")
    assert beside.exists()
    head = tomllib.loads(beside.read_text(encoding="utf-8"))
    missing = [key for key in ("title", "source", "year", "standing") if not str(head.get(key, "")).strip()]
    assert missing == [], f"{beside.name} lacks {', '.join(missing)}"
    assert head["standing"] in STANDINGS


@pytest.mark.parametrize("path", CSV, ids=named)
def test_rows_with_a_standing_of_their_own_use_our_words(path: Path) -> None:
    with path.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert rows
    for row in rows:
        assert None not in row, f"{path.name}: a row has more cells than headings: {row}"
        assert row.get("standing", "published") in STANDINGS


def entries(tree: Any) -> Iterator[dict[str, Any]]:
    """Every table below a table that has a standing."""
    if isinstance(tree, dict):
        if "standing" in tree:
            yield tree
        for value in tree.values():
            yield from entries(value)
    elif isinstance(tree, list):
        for value in tree:
            yield from entries(value)


@pytest.mark.parametrize("path", sorted((PACKAGE / "reference").rglob("*.toml")), ids=named)
def test_every_standing_in_the_reference_is_one_of_ours(path: Path) -> None:
    for entry in entries(tomllib.loads(path.read_text(encoding="utf-8"))):
        assert entry["standing"] in STANDINGS
