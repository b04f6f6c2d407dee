"""What a washback may be set with. See docs/wash.md."""

from __future__ import annotations

from gristwright.basics import Address, Problem
from gristwright.records.fields import faults
from gristwright.records.washbacks import Washbacks


def washback_problems(washbacks: Washbacks, where: Address) -> list[Problem]:
    """Number, volume, hours and set temperature outside what a distiller runs, and an unknown way of cooling."""
    return faults(washbacks, where, "Correct the plant.")
