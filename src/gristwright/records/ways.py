"""What a house's mash is now and which way is left to better it: remedies are held to it. See docs/boards.md."""

from __future__ import annotations

from dataclasses import dataclass

from gristwright.records.plant import CookerPlan, MashPlan

# Malt opens below the first and loses beta-amylase above the second; between them no other temperature is better for
# both. Above HOT malt dies as it dissolves, below COLD its beta-amylase is slow. Our choice, held against the model.
OPENS_DEGC, FERMENTS_DEGC, HOT_DEGC, COLD_DEGC = 63.5, 64.5, 67.0, 60.0
# A rest outside these is none in which malt converts: proteins below, the mash-out above.
CONVERTS_DEGC = (52.0, 75.0)
BOIL_DEGC = 100.0
USUAL_STAND_MIN, LONG_STAND_MIN, SHORT_STAND_MIN = 60.0, 90.0, 30.0


@dataclass(frozen=True)
class Ways:
    """A mash as a remedy must know it. Each property says whether that way still leads somewhere better.

    `coolest_degC` and `hottest_degC` are those of the stands in which malt converts, `stand_min` is their sum.
    """

    coolest_degC: float
    hottest_degC: float
    stand_min: float
    rests: bool = False
    cook_degC: float | None = None
    boiled: bool = False

    @classmethod
    def of(cls, plan: MashPlan, boiled: bool = False) -> Ways:
        """The state of a mash plan."""
        low, high = CONVERTS_DEGC
        stands = [(degC, minutes) for degC, minutes in _stands(plan) if low <= degC <= high]
        if not stands:
            stands = [(plan.waters[0].settled_degC if plan.waters else plan.settled_mash_degC, _stand_min(plan))]
        return cls(
            coolest_degC=min(degC for degC, _ in stands),
            hottest_degC=max(degC for degC, _ in stands),
            stand_min=sum(minutes for _, minutes in stands),
            rests=bool(plan.rests),
            cook_degC=plan.cook_degC,
            boiled=boiled,
        )

    @property
    def verb(self) -> str:
        """What the house does with its mash."""
        return "rest" if self.rests else "settle"

    @property
    def hotter(self) -> bool:
        """Whether a hotter mash opens more starch without losing more than it gains."""
        return self.hottest_degC < OPENS_DEGC

    @property
    def cooler(self) -> bool:
        """Whether a cooler mash leaves more beta-amylase alive."""
        return self.coolest_degC > FERMENTS_DEGC

    @property
    def cold(self) -> bool:
        """Whether beta-amylase would make more sugar in a hotter mash too."""
        return self.hottest_degC < COLD_DEGC

    @property
    def hot(self) -> bool:
        """Whether the malt's enzymes die before they are done."""
        return self.coolest_degC > HOT_DEGC

    @property
    def longer(self) -> bool:
        """Whether enzymes live that a longer stand gives time to make sugar."""
        return self.stand_min < LONG_STAND_MIN and not self.hot

    @property
    def shorter(self) -> bool:
        """Whether the stand is long enough to be cut."""
        return self.stand_min > SHORT_STAND_MIN


def _stands(plan: MashPlan) -> list[tuple[float, float]]:
    """Every rest with its minutes, those that the mash waits for its decoctions with them."""
    away = {one.after_rest: one.held_min + one.boil_min for one in plan.decoctions}
    return [
        (rest.settled_degC, rest.minutes + away[number] + (BOIL_DEGC - rest.settled_degC) / plan.ramp_K_per_min)
        if number in away
        else (rest.settled_degC, rest.minutes)
        for number, rest in enumerate(plan.rests, start=1)
    ]


def _stand_min(plan: MashPlan) -> float:
    if plan.cook_degC is not None:
        return (plan.cooker or CookerPlan()).malt_min
    return USUAL_STAND_MIN if plan.stand_min is None else plan.stand_min
