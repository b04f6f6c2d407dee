"""A remedy as a value: what it changes, how that betters its board, what the law says of it. See docs/boards.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any

from gristwright.quantities.shown import capital, plain
from gristwright.records.plant import Plant


@dataclass(frozen=True)
class Alteration:
    """What a remedy changes: fields of the house by path, such as `("mash.vessel", "filter")`, and lots of the bill.

    `bill` gives points of the grist [%] that a lot takes more (above zero) or gives up; `added_pct` are kilograms of a
    type that is in no lot yet, for each 100 kg of grist, such as `("rice_husks", 4.0)`.
    """

    plant: tuple[tuple[str, Any], ...] = ()
    bill: tuple[tuple[str, float], ...] = ()
    added_pct: tuple[tuple[str, float], ...] = ()

    def of(self, plant: Plant) -> Plant:
        """The house with its fields changed. Raises KeyError for a field that no house has."""
        for path, value in self.plant:
            plant = _with(plant, path.split("."), value)
        return plant


def _with(record: Any, path: Sequence[str], value: Any) -> Any:
    name, *rest = path
    if not is_dataclass(record) or name not in {field.name for field in fields(record)}:
        raise KeyError(f"{'.'.join(path)} is no field of {type(record).__name__}")
    return replace(record, **{name: _with(getattr(record, name), rest, value) if rest else value})  # type: ignore[type-var]


@dataclass(frozen=True)
class Gain:
    """What a remedy does to its board: the chance of its being out of order, and the middle of its figure.

    Chances 0 to 1. A figure is None where it cannot be said, as the hours of a mash that never runs off.
    """

    chance_before: float
    chance_after: float
    figure_before: float | None = None
    figure_after: float | None = None
    unit: str = ""
    decimals: int = 1
    turns: str = ""  # what the board then is, in its own word, where it turns

    @property
    def words(self) -> str:
        """The same as part of a sentence."""
        before, after = (f"{100.0 * chance:.0f} %" for chance in (self.chance_before, self.chance_after))
        risk = f"out of order in {after} of the runs, not {before}" if before != after else ""
        turned = f"then {self.turns}" if self.turns else ""
        return "; ".join(part for part in (self._figure, risk, turned) if part)

    @property
    def _figure(self) -> str:
        if self.figure_after is None:
            return ""
        now = plain(self.figure_after, self.decimals)
        then = None if self.figure_before is None else plain(self.figure_before, self.decimals)
        return "" if then == now else f"{now} {self.unit}{'' if then is None else f', not {then}'}"


@dataclass(frozen=True)
class Remedy:
    """One way to better a board: offered only where the model says that it does, with what it gains.

    `law` is its own verdict, in a sentence, and empty where no law speaks of it; `asks` is what it asks of the house.
    """

    key: str
    words: str
    gain: Gain
    law: str = ""
    change: Alteration = Alteration()
    asks: str = ""

    @property
    def sentence(self) -> str:
        """The remedy as the page, the terminal and the paper print it."""
        said = f"{capital(self.words)}: {self.gain.words}."
        return " ".join(part for part in (said, self.asks, self.law) if part)


def sentence_of(remedies: Sequence[Remedy], otherwise: str = "") -> str:
    """Remedies as `Board.remedy` holds them; `otherwise` is said where there is none."""
    return " ".join(remedy.sentence for remedy in remedies) or otherwise
