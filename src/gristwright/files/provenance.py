"""The fingerprints of the files a result was made from."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from pathlib import Path

from gristwright.reference.typeface import composed


def fingerprints(paths: Iterable[Path]) -> tuple[tuple[str, str], ...]:
    """File name and sha256 of each file, in the order given."""
    return tuple((composed(path.name), hashlib.sha256(path.read_bytes()).hexdigest()) for path in dict.fromkeys(paths))
