"""How many bills a search begins with, told before it begins. See docs/casework.md."""

from __future__ import annotations

from gristwright.basics import Problem, at
from gristwright.casework.bench import needed_lots
from gristwright.numerics.grid import count_shares
from gristwright.records.bill import WHOLE
from gristwright.records.enquiry import Enquiry

FIRST_STEP = 500
MOST_BILLS = 2_000_000
# Lots times draws of a search: about 1.8 kB each, so that what is drawn and followed stays near a gigabyte.
MOST_LOT_DRAWS = 600_000


def first_step(enquiry: Enquiry) -> int:
    """The step of the first grid [0.01 %]: 5 %, or the declared one when that is coarser."""
    return max(FIRST_STEP, enquiry.grid_parts)


def too_many(enquiry: Enquiry, lots: int | None = None) -> Problem | None:
    """Why a search cannot begin: more bills than can be looked at; None where it can.

    `lots` are those of the bench: on offer or in the present bill.
    """
    named = len(needed_lots(enquiry)) if lots is None else lots
    step, most = first_step(enquiry), enquiry.most_materials
    count = count_shares(WHOLE // step, named, most)
    if count <= MOST_BILLS:
        return None
    what = (
        f"{named} lots with up to {most} of them in one bill make {count:,} bills in steps of {step / 100:g} %; "
        f"{MOST_BILLS:,} can be looked at."
    )
    return Problem(at("enquiry", "most_materials"), what, _way_out(WHOLE // step, named, most))


def too_heavy(enquiry: Enquiry, members: int) -> Problem | None:
    """Why a search on so many draws cannot begin: more lots times draws than fit into memory; None where it can."""
    named = len(needed_lots(enquiry))
    if named * members <= MOST_LOT_DRAWS:
        return None
    fit = 2 ** ((MOST_LOT_DRAWS // named).bit_length() - 1)
    what = f"{named} lots on {members:,} draws are more than fit into memory."
    way_out = f"{named} lots fit on {fit:,} draws, and {MOST_LOT_DRAWS // members} lots on {members:,}."
    return Problem("draws", what, way_out)


def _way_out(steps: int, lots: int, most: int) -> str:
    """What would be few enough: fewer lots with as many in a bill, or fewer in a bill."""
    fewer = next(n for n in range(lots, 0, -1) if count_shares(steps, n, most) <= MOST_BILLS)
    in_bill = next((n for n in range(most, 0, -1) if count_shares(steps, lots, n) <= MOST_BILLS), 0)
    said = [f"Take lots off the list until {fewer} are left"]
    said += [f"allow at most {in_bill} lot{'s' * (in_bill > 1)} in one bill"] if in_bill else []
    return f"{', or '.join(said)}."
