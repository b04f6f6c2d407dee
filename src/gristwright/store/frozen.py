"""Text that is written once and the fingerprint it is known by."""

from __future__ import annotations

import dataclasses
import datetime as dt
import hashlib
import json
from collections.abc import Sequence
from enum import Enum
from typing import Any

from gristwright.basics import Address
from gristwright.records.enquiry import SpiritEnquiry
from gristwright.records.lot import Lot


def sha256(content: bytes | str) -> str:
    """The SHA-256 of bytes, or of text in UTF-8, in hexadecimal."""
    return hashlib.sha256(content.encode() if isinstance(content, str) else content).hexdigest()


def canonical(part: Any) -> str:
    """Plain values or records as JSON that is the same whenever they are equal."""
    return json.dumps(part, default=_plain, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)


def sha256_of(part: Any) -> str:
    """The SHA-256 of plain values or records, the same whenever they are equal."""
    return sha256(canonical(part))


def _plain(part: Any) -> Any:
    if isinstance(part, Address):
        return part.words  # as it stands in texts frozen before addresses had parts
    if dataclasses.is_dataclass(part) and not isinstance(part, type):
        kept = [f for f in dataclasses.fields(part) if not _unsaid(part, f)]
        return {field.name: getattr(part, field.name) for field in kept}
    if isinstance(part, dt.date):
        return part.isoformat()
    if isinstance(part, Enum):
        return part.value
    raise TypeError(f"{type(part).__name__} has no plain form")


def _unsaid(part: Any, field: dataclasses.Field[Any]) -> bool:
    """A field that came in later and says nothing: left out, or every text frozen before it would read as changed."""
    return "later" in field.metadata and getattr(part, field.name) == field.default


def inputs_text(asked: SpiritEnquiry, given: Sequence[Lot]) -> str:
    """Everything an answer is worked out from, as one text."""
    return canonical({"enquiry": asked, "lots": list(given)})
