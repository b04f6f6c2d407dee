"""The heat balance of the mash as calls that give one number."""

from gristwright.stages.mash import heat


def heat_ratio(moisture_pct: float) -> float:
    """Heat capacity of grist over that of water."""
    return float(heat.slaking(moisture_pct)[0])


def slaking_K(moisture_pct: float) -> float:
    """Rise of the mash by the heat of slaking [K]."""
    return float(heat.slaking(moisture_pct)[1])
