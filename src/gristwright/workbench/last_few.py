"""The last few things that took a while to make, each made once whoever asks at the same time."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

T = TypeVar("T")


class LastFew(Generic[T]):
    """At most so many; the one asked for longest ago goes first."""

    def __init__(self, most: int) -> None:
        self.most = most
        self._kept: OrderedDict[Hashable, T] = OrderedDict()
        self._one_at_a_time = threading.Lock()

    def of(self, key: Hashable, make: Callable[[], T]) -> T:
        """The one of this key, made where it is not kept. Raises what making it raises, and keeps nothing then."""
        with self._one_at_a_time:
            if key not in self._kept:
                self._kept[key] = make()
                while len(self._kept) > self.most:
                    self._kept.popitem(last=False)
            self._kept.move_to_end(key)
            return self._kept[key]
