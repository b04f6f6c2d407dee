"""Cost of new spirit. See docs/economics.md."""

from __future__ import annotations

from gristwright.basics import FloatArray


def cost_per_lpa(malt_cost_per_t: FloatArray, processing_cost_per_t: float, lpa_per_t: FloatArray) -> FloatArray:
    """Malt and processing of one tonne over the litres it gives [money a litre]; shapes broadcast.

    Processing is paid per tonne mashed, so a bill that gives fewer litres spreads it over fewer.
    """
    return (malt_cost_per_t + processing_cost_per_t) / lpa_per_t
