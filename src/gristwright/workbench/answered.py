"""What an answer that was issued on the very same inputs says of the boards of a bill being tried. See docs/desk.md."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from gristwright import __version__
from gristwright.documents.entries import View
from gristwright.store.models import Enquiry
from gristwright.workbench.jobs import view_of
from gristwright.workbench.trying import paired


def answer_to(enquiry: Enquiry, inputs_sha256: str) -> View | None:
    """The newest answer to exactly these inputs by this release, None where there is none."""
    kept = enquiry.answers.defer("pdf", "page", "inputs").filter(inputs_sha256=inputs_sha256).first()
    if kept is None:
        return None
    try:
        view = view_of(kept)
    except ValueError:
        # Its own page refuses it; the bill is worked out without it.
        return None
    return view if view["provenance"]["version"] == __version__ else None


def issued_boards(answer: View, shares: Mapping[str, int], worked_out: View) -> dict[str, Any]:
    """The boards for the page: as they were issued when the answer holds the bill.

    Else as they were worked out, with what the answer says otherwise of today's bill, which it always holds.
    """
    told = {
        "issued": answer["issued"]["text"],
        "fingerprint": answer["fingerprint"],
        "draws": answer["provenance"]["members"]["at"],
    }
    today = answer["present"]
    for bill in (today, *(offer["bill"] for offer in answer["offers"])):
        if _shares(bill) == {lot: parts for lot, parts in shares.items() if parts}:
            return {"boards": paired(bill["boards"], today["boards"]), "as_issued": told}
    return {"otherwise": _otherwise(worked_out, today), "answer": told}


def _shares(bill: View) -> dict[str, int]:
    return {share["key"]: round(100 * share["middle"]) for share in bill["shares"]}


def _otherwise(worked_out: View, today: View) -> list[str]:
    """Boards of today's bill that the answer gives another word, with that word and its chance."""
    words = {board["key"]: board["light"] for _, board in worked_out["boards"] if board}
    return [
        f"{board['title']} {board['light']}, {board['chance']}"
        for board in today["boards"]
        if words.get(board["key"], board["light"]) != board["light"]
    ]
