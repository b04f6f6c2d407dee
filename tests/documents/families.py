"""Keys of sentences that are made from rows of tables and not written out in the code: one function for each family."""

from __future__ import annotations

from collections.abc import Callable, Iterable

FAMILIES: tuple[Callable[[], Iterable[str]], ...] = ()
