"""What goes to the mash house with an answer: the order, the change-over, a year's litres and money, sensitivity."""

from __future__ import annotations

from dataclasses import dataclass

from gristwright.basics import Assumption
from gristwright.records.ageing import ClaimAnswer
from gristwright.records.cask import CaskOutlook
from gristwright.records.give_gain import GiveGain
from gristwright.records.mash_trials import MashPart
from gristwright.records.results import Figure, Recommendation, Withheld
from gristwright.records.said import Said


@dataclass(frozen=True)
class Weighing:
    """One lot of a mash as it is weighed. `full` counts whole bags, `loose_kg` is what is weighed beside them."""

    lot_id: str
    title: str
    asked_pct: float
    asked_kg: float
    kg: float
    unit_kg: float
    bags: bool
    full: int
    loose_kg: float
    weighed_pct: float
    material: str = ""  # the key of its type


@dataclass(frozen=True)
class MashStep:
    """One step of a mash by the clock: what goes in, the liquor before it meets the grain, the mash once settled."""

    at_min: float
    what: Said
    kg: float | None
    litres: float | None
    liquor_degC: float | None
    settled_degC: float | None
    why: Said | None
    standing: str
    source: str


@dataclass(frozen=True)
class Aim:
    """One thing to keep and write down: the aim, and the limits outside which somebody acts."""

    key: str
    group: str  # mill / mash / run-off / wort / fermentation
    title: Said
    unit: str
    aim: float | None
    low: float | None
    high: float | None
    decimals: int
    words: Said | None
    standing: str
    source: str


@dataclass(frozen=True)
class Action:
    """If this is seen, then that is done."""

    seen: Said
    do: Said
    standing: str
    source: str


@dataclass(frozen=True)
class MashOrder:
    """One mash of one bill as the mash house runs it."""

    bill: str
    letter: str  # how the recommendation calls the bill; empty for the present one
    house: str
    grain_in: bool
    brews: bool
    kg_per_mash: float
    weighings: tuple[Weighing, ...]
    rounding: Figure | None  # litres a tonne the weighed bill gives more than the asked one; None: withheld, or beer
    bags: tuple[Said, ...]  # how far whole bags may be from the bill, and which lots are weighed out loose
    grist_moisture_pct: float
    grist_degC: float
    steps: tuple[MashStep, ...]
    balance: tuple[Said, ...]  # liquor in, wort out
    aims: tuple[Aim, ...]
    actions: tuple[Action, ...]
    notes: tuple[Said, ...]
    cautions: tuple[Said, ...]


@dataclass(frozen=True)
class ChangeStep:
    """One step on the way from the present bill to the offered one."""

    when: Said
    weighed: tuple[Weighing, ...]
    lpa_per_t: Figure | None  # None: withheld
    what: Said


@dataclass(frozen=True)
class ChangeOver:
    """How a house goes over to another bill."""

    to_bill: str
    steps: tuple[ChangeStep, ...]
    rules: tuple[Action, ...]


@dataclass(frozen=True)
class AnnualLine:
    """A year of one bill: tonnes of each lot, litres and money, and the change against today on the same draws."""

    letter: str
    bill: str
    tonnes: tuple[tuple[str, float], ...]
    figures: dict[str, Figure]
    withheld: Withheld | None = None


@dataclass(frozen=True)
class OnePercent:
    """One per cent of the grist more of a lot, taken from another, on the same draws."""

    lot_id: str
    title: str
    instead_of: str
    lpa_per_t: Figure
    cost_per_lpa: Figure


@dataclass(frozen=True)
class FlipPrice:
    """The price of one lot at which an offer costs as much a litre as today; None where no price does it."""

    letter: str
    bill: str
    lot_id: str
    price_now: float
    price: Figure | None
    cheaper: str  # below / above / never / always / unsure
    words: str


@dataclass(frozen=True)
class Sensitivity:
    """What moves the answer from outside: a little more of a lot, another price."""

    around: str
    one_percent: tuple[OnePercent, ...]
    flips: tuple[FlipPrice, ...]
    withheld: str = ""  # why there is none


@dataclass(frozen=True)
class Dossier:
    """A recommendation with all that is needed to run and to buy it."""

    recommendation: Recommendation
    order: MashOrder
    change_over: ChangeOver | None
    annual: tuple[AnnualLine, ...]
    sensitivity: Sensitivity
    assumptions: tuple[Assumption, ...]  # the recommendation's, and those that only the rest needs
    cask: CaskOutlook
    mash: MashPart
    gain: GiveGain | None = None
    ages: ClaimAnswer | None = None  # None: no casks of known age go with the enquiry
