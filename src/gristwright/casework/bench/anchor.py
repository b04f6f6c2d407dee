"""The plant's own average moves the plant: importance weights on the same draws. See docs/casework.md."""

from __future__ import annotations

import numpy as np

from gristwright.basics import FloatArray, Problem, Refused, at
from gristwright.casework.bench.bench import B, reweighted
from gristwright.casework.bench.boards import why_withheld
from gristwright.numerics.draws import MEMBERS
from gristwright.numerics.weights import band, effective_members, normal_weights
from gristwright.quantities.shown import counted
from gristwright.records.bill import Bill
from gristwright.records.plant import PlantRecord
from gristwright.records.results import Anchor

# Of the usual draws; of fewer, such as the first figures of a page, so many fewer, or the page would refuse what the
# dossier answers. Under eight no band can be read.
LEAST_EFFECTIVE, FEWEST_EFFECTIVE = 50.0, 8.0


def anchor_sd(record: PlantRecord, past_lots_spread: float) -> float:
    """Error of the plant's average [L/t]: its own, and that the malt behind it was not today's lot."""
    return float(np.hypot(record.sd_lpa_per_t / np.sqrt(record.mashes), past_lots_spread))


def anchor(bench: B, present: Bill, record: PlantRecord | None) -> tuple[B, Anchor]:
    """The bench weighted by what the plant gets from its present bill.

    Raises Refused when hardly any draw can explain the figure: then the figure, the certificate or the plant file
    is wrong, and a shifted answer would hide it.
    """
    made = bench.made(present)
    before = made.spirit.lpa_per_t
    prior = band(before, bench.weights)
    why = why_withheld(bench, present, made.grist, made.wort, wash=made.wash)
    if record is None:
        said = "Literature only: no figure of the plant's own was given."
        return bench, Anchor(False, said, before=None if why else prior)
    if why is not None:
        return bench, Anchor(False, _not_used(record), record.mean_lpa_per_t)
    weights = anchored_weights(before, record, float(bench.middles["grist.past_lots_spread_lpa_per_t"][0]))
    effective = effective_members(weights)
    if effective < max(FEWEST_EFFECTIVE, LEAST_EFFECTIVE * len(weights) / MEMBERS):
        raise Refused([_beyond_belief(record, prior.low, prior.high)])
    after = band(before, weights)
    sentence = (
        f"The plant's own average over {counted(record.mashes, 'mash', 'mashes')} moved the plant's factors, so "
        f"the present bill stands "
        "where the plant runs and every offer is a difference from it."
    )
    return reweighted(bench, weights), Anchor(True, sentence, record.mean_lpa_per_t, prior, after, effective)


def _not_used(record: PlantRecord) -> str:
    return (
        f"The plant's own average over {counted(record.mashes, 'mash', 'mashes')} was not used: what the "
        f"present bill should give is "
        "withheld, so there is nothing to hold it against."
    )


def anchored_weights(lpa_per_t: FloatArray, record: PlantRecord, past_lots_spread: float) -> FloatArray:
    """Weights of the draws given the plant's average; shape (members,)."""
    return normal_weights(lpa_per_t, record.mean_lpa_per_t, anchor_sd(record, past_lots_spread))


def _beyond_belief(record: PlantRecord, low: float, high: float) -> Problem:
    what = (
        f"{record.mean_lpa_per_t:g} L/t cannot be explained by these certificates and any usual plant: "
        f"{low:.0f} to {high:.0f} L/t would be expected."
    )
    way_out = "Check basis (litres of pure alcohol at 20 degC per tonne as is), feints stock and the lots behind it."
    return Problem(at("present", "record", "mean_lpa_per_t"), what, way_out)
