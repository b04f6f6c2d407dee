"""What a distiller writes for one mash, what goes into it, and the course it takes. Page: docs/mash_simulation.md."""

from __future__ import annotations

from dataclasses import dataclass

from gristwright.basics import FloatArray, Problem

WASHBACK, NEXT_MASH = "washback", "next mash"
MODEL = "two_granules"  # the named model that is taken where none is said
USUAL_FERMENT_HOURS = 72.0


@dataclass(frozen=True)
class Corner:
    """A corner of the settled temperature: straight lines run from corner to corner, two at one time are a step."""

    at_min: float
    settled_degC: float


@dataclass(frozen=True)
class Charge:
    """What is put in at one time: liquor per kilogram of the whole grist, and parts of its grains (0 to 1) by key."""

    at_min: float
    liquor_L_per_kg: float = 0.0
    grains: tuple[tuple[str, float], ...] = ()
    weak_worts: bool = False  # the liquor is the weak worts of the mash before


@dataclass(frozen=True)
class DrawOff:
    """Wort run off at one time down to the liquid that the bed holds, and where it goes."""

    at_min: float
    name: str  # first water, first wort, first sparge
    goes_to: str = WASHBACK
    held_L_per_kg: float = 0.7


@dataclass(frozen=True)
class TakenOut:
    """A part of the mash taken out, heated apart and given back: a decoction. Corners count with the mash's clock."""

    at_min: float
    back_min: float
    liquid: float  # part of the mash's liquid, 0 to 1
    grain: float  # part of its grain
    corners: tuple[Corner, ...]
    share_pct: float  # of the mash, by volume
    part: str  # thick / thin


@dataclass(frozen=True)
class MashProgramme:
    """One mash from the first liquor to its end; without a draw-off the whole mash goes to the washback."""

    name: str
    corners: tuple[Corner, ...]
    charges: tuple[Charge, ...]
    draw_offs: tuple[DrawOff, ...] = ()
    grist_degC: float = 15.0
    backset_pct: float = 0.0  # thin stillage in % of the liquor
    mash_pH: float | None = None  # None: not measured
    calcium_mg_per_L: float | None = None  # of the mash liquor; None: not known
    alkalinity_mg_per_L: float | None = None  # of the mash liquor, as CaCO3
    model: str = MODEL  # of stages.mash.models
    grind: str = "flour"  # flour / hammer / rolls
    ferment_hours: float = USUAL_FERMENT_HOURS  # from set to charge
    decoctions: tuple[TakenOut, ...] = ()

    @property
    def end_min(self) -> float:
        """When the mash is over [min]."""
        return self.corners[-1].at_min

    @property
    def mashed_in_L_per_kg(self) -> float:
        """Liquor let in before anything is drawn off, for each kilogram of the whole grist."""
        drawn = min((draw.at_min for draw in self.draw_offs), default=self.end_min)
        return sum(charge.liquor_L_per_kg for charge in self.charges if charge.at_min < drawn)


@dataclass(frozen=True)
class MashGrain:
    """One grain of the grist as the mash sees it, everything per kilogram as weighed; arrays (members,)."""

    key: str
    species: str
    malted: bool
    share: FloatArray  # kg per kg of the whole grist
    starch_kg_per_kg: FloatArray
    ready_sugar_kg_per_kg: FloatArray  # sugar the grain brings, fermentable at once
    inert_kg_per_kg: FloatArray  # extract no enzyme of the mash turns into sugar: protein, gums, roasted matter
    moisture_pct: FloatArray
    opened: bool = False  # heat has gelatinised the starch already (flaked, torrefied)
    dark: bool = False  # caramel or roasted: lowers the pH of the mash
    husk: bool = False  # husks alone, which go in with the malt and never through a cooker


@dataclass(frozen=True)
class MaltEnzymes:
    """Enzymes of one lot, (members,): alpha- and beta-amylase [U/g], limit dextrinase [U/kg], as weighed."""

    alpha_U_per_g: FloatArray
    beta_U_per_g: FloatArray
    limit_dextrinase_U_per_kg: FloatArray


@dataclass(frozen=True)
class Liquid:
    """What one wort (or the whole mash) holds, per tonne of grist as weighed; arrays (members,)."""

    volume_L_per_t: FloatArray
    glucose_kg_per_t: FloatArray
    maltose_kg_per_t: FloatArray
    maltotriose_kg_per_t: FloatArray
    dextrin_kg_per_t: FloatArray
    ready_sugar_kg_per_t: FloatArray
    inert_kg_per_t: FloatArray
    open_starch_kg_per_t: FloatArray  # gelatinised, not converted
    alpha_U_per_kg: FloatArray  # alive, per kilogram of grist
    beta_U_per_kg: FloatArray
    limit_dextrinase_U_per_kg: FloatArray
    limit_dextrin_kg_per_t: FloatArray | None = None  # of the dextrin; None: the model does not tell it apart

    @property
    def sugar_kg_per_t(self) -> FloatArray:
        """Sugar that yeast takes at once."""
        return self.glucose_kg_per_t + self.maltose_kg_per_t + self.maltotriose_kg_per_t + self.ready_sugar_kg_per_t

    @property
    def extract_kg_per_t(self) -> FloatArray:
        """Everything dissolved, open starch with it."""
        return self.sugar_kg_per_t + self.dextrin_kg_per_t + self.inert_kg_per_t + self.open_starch_kg_per_t


@dataclass(frozen=True)
class DrawnWort:
    """One wort as it leaves the tun, with the share of each enzyme put in so far that is alive in it and the bed."""

    name: str
    goes_to: str
    at_min: float
    liquid: Liquid
    alpha_alive: FloatArray
    beta_alive: FloatArray
    limit_dextrinase_alive: FloatArray | None  # None: the model has none


@dataclass(frozen=True)
class Fermentability:
    """Fermentable part of the dissolved extract [%], and fermentable extract [kg sugar per tonne]; (members,).

    `dextrin_left_kg_per_t` and `open_starch_left_kg_per_t` are what the enzymes alive leave in the washback.
    """

    now_pct: FloatArray  # what yeast could take from the wort as it is: also the answer for a boiled wort
    unboiled_pct: FloatArray  # with what the enzymes alive still make in the washback
    now_kg_per_t: FloatArray
    unboiled_kg_per_t: FloatArray
    dextrin_left_kg_per_t: FloatArray
    open_starch_left_kg_per_t: FloatArray
    short_kg_per_t: FloatArray  # starch that it would turn with enough enzyme and time, and does not
    # What the enzymes alive turn in 72 hours of a usual wash, a share 1 - exp(-exponent) of what there is.
    alpha_exponent: FloatArray
    dextrinase_exponent: FloatArray


@dataclass(frozen=True)
class MashCourse:
    """A simulated mash. `times_min` (times,); courses (times, members) in kg per tonne of grist, in the tun."""

    times_min: FloatArray
    settled_degC: FloatArray
    mash_degC: FloatArray
    unopened_starch_kg_per_t: FloatArray
    open_starch_kg_per_t: FloatArray
    dextrin_kg_per_t: FloatArray
    glucose_kg_per_t: FloatArray
    maltose_kg_per_t: FloatArray
    maltotriose_kg_per_t: FloatArray
    wort_g_per_100g: FloatArray
    alpha_alive: FloatArray  # share of what was put in so far
    beta_alive: FloatArray
    limit_dextrinase_alive: FloatArray | None  # None: the model has none
    worts: tuple[DrawnWort, ...]
    left_in_tun: Liquid
    washback: Liquid  # sum of the worts that go there, or the whole mash
    unopened_end_kg_per_t: FloatArray  # (members,) starch never opened
    unconverted_pct: FloatArray  # (members,) starch neither sugar nor dextrin at the end, % of the starch put in
    starch_in_kg_per_t: FloatArray
    fermentability: Fermentability
    mash_pH: FloatArray
    balance_error: float  # largest share of the mass put in that is unaccounted for
    warnings: tuple[Problem, ...] = ()
