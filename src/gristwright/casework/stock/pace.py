"""How a stock is reckoned by its size: a large one in longer steps and on fewer draws, so that it is done in a minute.

See docs/stock.md.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TypeVar

from gristwright.basics import Problem

# A stock of more casks is a large one: followed from the last gauge in steps of up to a year.
LARGE = 1_000
# Casks times draws of a forecast. More would take longer than a minute, and each array of them 40 MB and more.
MOST_MEMBERS, LEAST_DRAWS = 1_600_000, 16
# So many gauged casks teach the stores of a large stock: the factor of a store is then known to one or two per cent.
TEACHING, LEAST_TEACHING = 1_000, 8
# Every cask is named, with a figure for every year, in a stock of so many at most.
MOST_NAMED = 5_000
# Spirits are told one by one up to so many; what is beyond them is summed as one.
MOST_SPIRITS = 500
T = TypeVar("T")


def is_large(casks: int) -> bool:
    """Whether a stock of so many casks is a large one."""
    return casks > LARGE


def told_of(casks: int, rows: Iterable[int]) -> list[int] | None:
    """The rows that a job on some casks of a stock needs findings of: in a large one only those, else all (None)."""
    return [int(row) for row in rows] if is_large(casks) else None


def draws_that_fit(casks: int, draws: int) -> int:
    """The draws asked, or the largest half, quarter, ... of them that so many casks are forecast on."""
    while draws // 2 >= LEAST_DRAWS and casks * draws > MOST_MEMBERS:
        draws //= 2
    return draws


def fewer(casks: int, draws: int) -> list[Problem]:
    """What is said where a stock is forecast on fewer draws than asked; nothing where it is not."""
    fit = draws_that_fit(casks, draws)
    if fit == draws:
        return []
    what = f"{casks} casks are forecast on {fit} draws, not {draws}: {MOST_MEMBERS // draws} casks fit on {draws}."
    return [Problem("ledger", what, "Bands are a little coarser; cut the ledger by store for more draws.", True)]


def evenly(items: Sequence[T], most: int) -> Sequence[T]:
    """All of a few, else so many of them at even distances."""
    if len(items) <= most:
        return items
    return [items[k * len(items) // most] for k in range(most)]
