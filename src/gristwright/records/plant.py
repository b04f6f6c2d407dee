"""A house and how it works."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class MashPlan:
    """How the grain meets the water: one settled temperature for the published balance."""

    kg_per_mash: float
    wort_L_per_t: float
    settled_mash_degC: float = 64.0
    mash_pH: float | None = None


@dataclass(frozen=True)
class Washbacks:
    """Where the wort ferments."""

    count: int
    volume_L: float
    hours: float
    set_degC: float = 20.0


@dataclass(frozen=True)
class PotStills:
    """Double distillation in pots: what is charged and where the cuts lie."""

    wash_charge_L: float
    spirit_charge_L: float
    low_wines_abv_pct: float = 22.0
    charge_abv_pct: float = 25.0
    heart_abv_pct: float = 69.0


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
    one_distillery: bool = True
    wort_boiled: bool = False
    grain_cooked: bool = False
    enzymes: str = "malt only"  # malt only / added natural / added microbial / koji
    ferment_agents: str = "yeast"  # yeast / yeast and others
