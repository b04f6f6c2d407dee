"""Does it read older, what would prove it, what is it worth? See docs/ageing.md and docs/give_and_gain.md."""

from gristwright.casework.claim.chemistry import MODELS
from gristwright.casework.claim.claim import CONFIDENCE, claim
from gristwright.casework.claim.give_and_gain import NEW_MAKE, needed_range
from gristwright.casework.claim.plan_proof import FALSE_RATE, Asked, plan_proof
from gristwright.casework.claim.scales import HOW, MATURITY, kind_said

__all__ = [
    "CONFIDENCE",
    "FALSE_RATE",
    "HOW",
    "MATURITY",
    "MODELS",
    "NEW_MAKE",
    "Asked",
    "claim",
    "kind_said",
    "needed_range",
    "plan_proof",
]
