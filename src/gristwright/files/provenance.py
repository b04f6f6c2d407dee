"""The fingerprints of the files a result was made from."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from pathlib import Path

from gristwright.files.opened import read_bytes
from gristwright.reference.typeface import composed

# Of the largest file that anything is made from, a ledger of casks.
MOST_BYTES = 500_000_000


def fingerprints(paths: Iterable[Path]) -> tuple[tuple[str, str], ...]:
    """File name and sha256 of each file, in the order given."""
    return tuple(
        (composed(path.name), hashlib.sha256(read_bytes(path, "file", MOST_BYTES)).hexdigest())
        for path in dict.fromkeys(paths)
    )
