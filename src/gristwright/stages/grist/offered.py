"""Which remedies a board offers: only those that the model says better it. See docs/boards.md."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from gristwright.basics import Light
from gristwright.records.remedies import Alteration, Gain, Remedy
from gristwright.reference import csv_rows
from gristwright.stages.grist.bed_board import Judged
from gristwright.stages.grist.board_floors import AMBER_SHARE

ORDER = {Light.GREEN: 0, Light.AMBER: 1, Light.UNKNOWN: 1, Light.RED: 2}
LEAST_GAIN = 0.01  # of the chance of being out of order
MOST_OFFERED = 5


@dataclass(frozen=True)
class WayTried:
    """A way out and how the board stands with it."""

    key: str
    words: str
    change: Alteration
    judged: Judged


@cache
def _said(key: str) -> dict[str, str]:
    return next(row for row in csv_rows("tables/remedies.csv") if row["key"] == key)


def betters(before: Judged, after: Judged) -> bool:
    """Whether a board stands better: less likely out of order, or as likely and with a better light."""
    falls = before.probability_red - after.probability_red
    return falls >= LEAST_GAIN or (falls >= 0.0 and ORDER[after.light] < ORDER[before.light])


def least_that_helps(before: Judged, ways: Iterable[WayTried]) -> Iterator[WayTried]:
    """Of one way in growing doses the first that turns the light; else the first that is then hardly ever out of order;
    else the last."""
    doses = list(ways)
    turned = (way for way in doses if ORDER[way.judged.light] < ORDER[before.light])
    seldom = (
        way for way in doses if way.judged.probability_red <= AMBER_SHARE and before.probability_red > AMBER_SHARE
    )
    chosen = next(turned, next(seldom, doses[-1] if doses else None))
    if chosen is not None:
        yield chosen


def offered(before: Judged, tried: Iterable[WayTried], unit: str = "h", decimals: int = 1) -> tuple[Remedy, ...]:
    """The ways that better a board, the best first."""
    better = [way for way in tried if betters(before, way.judged)]
    better.sort(key=lambda way: (ORDER[way.judged.light], round(way.judged.probability_red, 3)))
    return tuple(remedy(before, way, unit, decimals) for way in better)


def remedy(before: Judged, way: WayTried, unit: str = "h", decimals: int = 1) -> Remedy:
    """A way out with what it gains, what it asks, and what the law says of it."""
    after, said = way.judged, _said(way.key)
    turns = after.light.value if ORDER[after.light] < ORDER[before.light] else ""
    gain = Gain(before.probability_red, after.probability_red, before.figure, after.figure, unit, decimals, turns)
    return Remedy(way.key, way.words, gain, said["law"], way.change, said["asks"])


def few(remedies: Sequence[Remedy], always: Sequence[str] = ()) -> tuple[Remedy, ...]:
    """The best of them, those named always among them; a page holds so many."""
    chosen = [one for one in remedies if one.key in always][:MOST_OFFERED]
    for one in remedies:
        if len(chosen) >= MOST_OFFERED:
            break
        if one not in chosen:
            chosen.append(one)
    return tuple(one for one in remedies if one in chosen)
