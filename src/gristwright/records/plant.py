"""A house and how it works."""

from __future__ import annotations

from dataclasses import dataclass, field

# Marks a field that came in later: while nothing is said in it, a record has the fingerprint it had without it.
LATER = {"later": True}


@dataclass(frozen=True)
class Water:
    """One water of a mash: litres for each kilogram of grist as weighed, and where the mash settles with it."""

    name: str  # first / second / third / fourth
    L_per_kg: float
    settled_degC: float


@dataclass(frozen=True)
class Rest:
    """So many minutes at one settled temperature."""

    settled_degC: float
    minutes: float


@dataclass(frozen=True)
class CookerPlan:
    """How raw grain is cooked before the malt goes in; the hottest temperature is the plan's `cook_degC`."""

    cook_min: float = 30.0
    slurry_degC: float = 40.0
    second_species: tuple[str, ...] = ()  # raw grain put in below boiling on the way down: rye, wheat
    second_degC: float = 77.0
    second_min: float = 20.0
    malt_min: float = 30.0  # from the malt in, at the plan's settled temperature, to cooling


@dataclass(frozen=True)
class MashPlan:
    """How the grain meets the water: waters, rests or a cooker; without them one stand at the settled temperature.

    `wort_L_per_t` is the wort collected by a separated house, the whole mash with its grain in a grain-in house.
    """

    kg_per_mash: float
    wort_L_per_t: float
    settled_mash_degC: float = 64.0
    mash_pH: float | None = None
    cook_degC: float | None = None  # None: the house has no cooker
    premalt_pct: float = 0.0  # malt in the cooker, % of the grist
    backset_pct: float = 0.0  # thin stillage in the mash liquor
    plate_area_m2: float | None = None  # of the tun or lauter
    usual_run_off_hours: float | None = None
    waters: tuple[Water, ...] = ()  # none: the usual ones
    grist_degC: float = 15.0
    vessel_loss_K: float = 0.0  # what a cold tun takes from the settled mash
    bag_kg: float = 25.0
    silo_kg: float = 5.0  # step of the weigher below the silos
    mill_gap_mm: float | None = None  # of the last pair of rolls
    pH_aim: float | None = None
    stand_min: float | None = None  # from mashed in to the start of run-off
    vessel: str = "tun"  # tun / lauter / filter
    vessel_L: float | None = None  # room of the vessel
    liquor_degC: float | None = None  # of the first water before mixing; the settled temperature then follows from it
    liquor_L_per_kg: float | None = None  # of a mash with rests or a cooker; none: from the volume collected
    rests: tuple[Rest, ...] = ()  # programmed rests in their order; the whole mash is run off after the last
    ramp_K_per_min: float = 1.0
    later_stand_min: float = 20.0  # of the waters after the first
    run_off_min: float = 40.0  # of each water
    waters_to_washback: int = 2  # later ones are weak worts, the next mash's first liquor
    cooker: CookerPlan | None = None
    calcium_mg_per_L: float | None = None  # of the mash liquor
    alkalinity_mg_per_L: float | None = None  # of the mash liquor, as CaCO3


@dataclass(frozen=True)
class Washbacks:
    """Where the wort ferments."""

    count: int
    volume_L: float
    hours: float
    set_degC: float = 20.0
    cooling: str = field(default="", metadata=LATER)  # none / jacket / coil / exchanger; empty: not stated


@dataclass(frozen=True)
class PotStills:
    """Double distillation in pots: what is charged and where the cuts lie."""

    wash_charge_L: float
    spirit_charge_L: float
    low_wines_abv_pct: float = 22.0
    charge_abv_pct: float = 25.0
    heart_abv_pct: float = 69.0


@dataclass(frozen=True)
class ColumnDoubler:
    """A beer column and a doubler behind it; strengths at 20 degC."""

    beer_L_per_h: float
    head_abv_pct: float = 60.0
    doubler_abv_pct: float = 68.0


@dataclass(frozen=True)
class PlantRecord:
    """What the plant really gets from one bill: litres of pure alcohol (20 degC) filled per tonne of grist as it is."""

    mean_lpa_per_t: float
    sd_lpa_per_t: float
    mashes: int


@dataclass(frozen=True)
class Plant:
    """A house. `kind` is separated (wort drawn off the grain) or grain-in (whole mash fermented and distilled)."""

    name: str
    kind: str
    country: str
    mash: MashPlan
    washbacks: Washbacks
    pot_stills: PotStills | None
    tonnes_per_year: float
    column: ColumnDoubler | None = None
    one_distillery: bool = True
    wort_boiled: bool = False
    enzymes: str = "malt only"  # malt only / added natural / added microbial / koji
    ferment_agents: str = "yeast"  # yeast / yeast and others

    @property
    def grain_in(self) -> bool:
        """Whether the whole mash is fermented and distilled."""
        return self.kind == "grain-in"

    @property
    def grain_cooked(self) -> bool:
        """Whether raw grain goes through a cooker."""
        return self.mash.cook_degC is not None
