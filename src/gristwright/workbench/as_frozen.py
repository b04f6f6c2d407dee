"""What was frozen of an answer, given back only as it was. See docs/desk.md."""

from __future__ import annotations

from gristwright import __version__
from gristwright.basics import Problem, Refused
from gristwright.documents.data import Frozen
from gristwright.documents.dossier import Drawn
from gristwright.store.frozen import sha256
from gristwright.store.models import Answer

TAMPERED = "What is kept of this answer is not what was issued, for it does not match its fingerprint; it is not shown."
WAY_OUT = "Take it from a copy of the data folder, or ask for another answer."


def check(content: bytes | str, fingerprint: str) -> None:
    """Raise Refused when a content is not the one of its fingerprint."""
    if sha256(content) != fingerprint:
        raise Refused([Problem("", TAMPERED, WAY_OUT)])


def drawn_of(answer: Answer) -> Drawn:
    """All that an answer is printed from. Raises Refused when it is not what was kept."""
    check(answer.drawn, answer.drawn_sha256)
    return Drawn.of_text(answer.drawn)


def of_this_release(data: Frozen) -> bool:
    """Whether what was worked out is printed by this release as by the one that worked it out."""
    return bool(data["provenance"]["version"] == __version__)
