"""Which of mash, yeast and hours holds a beer's attenuation back, and how strong a beer its yeast bears.

See docs/wash.md.
"""

from __future__ import annotations

from collections.abc import Iterator

from gristwright.basics import Band
from gristwright.casework.bench.bench import GristBench
from gristwright.quantities.gravity import ETHANOL_20C_kg_m3
from gristwright.quantities.shown import interval, plain, with_interval
from gristwright.records.bill import Bill
from gristwright.stages.wash import setting

# Of the laboratory's limit, what a mash reaches without a word (nor is there one where it may well reach all of it); of
# what the yeast could take, what it takes without one; hours before racking in which a fermentation still moves: our
# choice.
MASH_SHORT, TAKEN_SHORT, NEAR_THE_END_H = 0.985, 0.97, 12.0


def held_back(bench: GristBench, bill: Bill, abv: Band) -> tuple[str, ...]:
    """What holds the attenuation of a brewer's bill back, a sentence each; none where nothing does.

    `abv` is the strength of the beer [%vol].
    """
    return (*_by_mash(bench, bill), *_by_yeast_or_hours(bench, bill), *_by_strength(bench, abv))


def _by_mash(bench: GristBench, bill: Bill) -> Iterator[str]:
    reached = bench.runs.band(bench.house_effect(bench.shares(bill), bench.draws).mash.attenuation)
    if reached.middle < MASH_SHORT and reached.high < 1.0:
        lost = Band(*(100.0 * (1.0 - one) for one in (reached.high, reached.middle, reached.low)))
        yield (
            f"The mash holds the attenuation back: its limit is {with_interval(lost, 1)} % lower than the laboratory's "
            "mash of this grist would give. Cooler or longer rests, or a malt of more enzyme, raise it."
        )


def _by_yeast_or_hours(bench: GristBench, bill: Bill) -> Iterator[str]:
    backs, end = bench.plant.washbacks, bench.house_effect(bench.shares(bill), bench.draws).wash
    taken, stops = bench.runs.band(100.0 * end.attenuated), bench.runs.band(end.stops_h)
    if taken.middle >= 100.0 * TAKEN_SHORT:
        return
    amount = f"{with_interval(taken, 1)} % of what the wort offers is fermented after {plain(backs.hours, 0)} h"
    kind = setting.row("yeasts", setting.yeast_kind(backs, brews=True))
    if backs.hours - stops.middle < NEAR_THE_END_H:
        yield (
            f"The hours hold the attenuation back: {amount}, and it still moves at {with_interval(stops, 0)} h. "
            "Leave it longer, set it warmer, or pitch more."
        )
    else:
        why = "it leaves maltotriose" if float(kind["maltotriose"]) == 0.0 else "it stops before the sugar is gone"
        yield f"The yeast holds the attenuation back: {amount}, for {why}. More hours would not help."


def _by_strength(bench: GristBench, abv: Band) -> Iterator[str]:
    yeast = setting.pitched(bench.plant.washbacks, bench.draws, brews=True)
    bears = bench.runs.band(100.0 * yeast.ethanol_limit_g_per_L / ETHANOL_20C_kg_m3)
    if abv.high < bears.low:
        return
    yield (
        f"Strong for its yeast, which bears {interval(bears, 0)} %vol (from memory): the beer is to have "
        f"{with_interval(abv, 1)} %vol. Take a yeast that bears more, or a weaker wort."
    )
