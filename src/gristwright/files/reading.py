"""What reading a file gave: the record, when one could be made, and everything that is wrong or odd."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Generic, TypeVar

from gristwright.basics import Problem, Refused

T = TypeVar("T")


@dataclass(frozen=True)
class Reading(Generic[T]):
    """A record with the files it came from and its problems; faults among them mean it must not be computed with."""

    value: T | None
    files: tuple[Path, ...]
    problems: tuple[Problem, ...]

    @property
    def faulty(self) -> bool:
        """Whether anything but warnings was found."""
        return any(not problem.warning for problem in self.problems)

    def accepted(self) -> T:
        """The record. Raises Refused with every problem when there is a fault."""
        if self.value is None or self.faulty:
            raise Refused(self.problems)
        return self.value
