"""The invented scenarios answered in full, once for all tests."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import programme
from gristwright.casework import recommend
from gristwright.casework.recommend.recommend import answer_on_bench
from gristwright.files.certificates.lots_in import read_lots
from gristwright.files.jobs_in import read_enquiry
from gristwright.records.ageing import ArmGrist, ClaimAsked
from gristwright.records.enquiry import Enquiry
from gristwright.records.order import Dossier
from house.places import EXAMPLES
from once import once
from scenario import MEMBERS, enquiry, lots

dossier = once(recommend.dossier)
COLUMN = EXAMPLES / "maize-rye-column"


@cache
def answered_in_full(name: str = "enquiry.toml") -> Dossier:
    return dossier(enquiry(name), lots(), members=MEMBERS)


@cache
def with_claim() -> Dossier:
    """The scenario with the invented programme's casks: arm A of the first offer's grist, arm B of the third's."""
    return dossier(claiming(), lots(), members=MEMBERS)


@cache
def claiming() -> Enquiry:
    grists = (
        ArmGrist("A", (("pale_distilling_malt", 9500), ("caramel_malt_medium", 500))),
        ArmGrist("B", (("pale_distilling_malt", 9000), ("caramel_malt_medium", 1000))),
    )
    return replace(enquiry(), claim=ClaimAsked((programme.CLAIM,), programme.ladder(), programme.arms(), grists))


@cache
def grain_in() -> Dossier:
    return dossier(column_enquiry(), read_lots(COLUMN / "certificates.xlsx").accepted(), members=256)


@cache
def column_enquiry() -> Enquiry:
    return read_enquiry(COLUMN / "enquiry.toml").accepted()


@cache
def on_bench():
    return answer_on_bench(enquiry(), lots(), members=MEMBERS)
