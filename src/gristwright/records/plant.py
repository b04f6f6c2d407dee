"""A house and how it works."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Literal, TypeAlias

from gristwright.records.fields import LATER, Described, Number
from gristwright.records.mash_settings import Chambers, HotLiquor, WholeBags
from gristwright.records.still_settings import HeartsEnd
from gristwright.records.washbacks import Washbacks

WATERS = ("first", "second", "third", "fourth")
Vessel: TypeAlias = Literal["tun", "lauter", "filter"]
GumEnzyme: TypeAlias = Literal["none", "added"]
Kind: TypeAlias = Literal["separated", "grain-in"]
Enzymes: TypeAlias = Literal["malt only", "added natural", "added microbial", "koji"]
Agents: TypeAlias = Literal["yeast", "yeast and others"]
Model: TypeAlias = Literal["two_granules", "engineering", "brandam2003"]
GoesTo: TypeAlias = Literal["washback", "next mash"]
PartOfMash: TypeAlias = Literal["thick", "thin"]


@dataclass(frozen=True)
class Water:
    """One water of a mash: litres for each kilogram of grist as weighed, and where the mash settles with it."""

    name: Annotated[str, Described("Water", f"{', '.join(WATERS)}, in that order.")]
    L_per_kg: Annotated[float, Number("Liquor", "L/kg", 0.2, 8.0, "", "{} water")]
    settled_degC: Annotated[float, Number("Settles at", "degC", 40.0, 98.0, "Not the liquor.", "settled {} water")]


@dataclass(frozen=True)
class Rest:
    """So many minutes at one settled temperature."""

    settled_degC: Annotated[float, Number("Settled at", "degC", 5.0, 100.0, "Not the liquor.", "rest {}")]
    minutes: Annotated[float, Number("For", "min", 0.0, 600.0, "", "rest {}")]


@dataclass(frozen=True)
class Sparge:
    """Liquor let onto the drawn-off bed, and the wort it gives; litres for each kilogram of grist as weighed."""

    L_per_kg: Annotated[float, Number("Liquor", "L/kg", 0.1, 8.0, "", "sparge {}")]
    liquor_degC: Annotated[
        float,
        Number("Liquor at", "degC", 20.0, 98.0, "In the tank, before it meets the bed.", "liquor of sparge {}"),
    ]
    goes_to: Annotated[
        GoesTo, Described("Its wort goes to", "The washback, or as weak wort into the first liquor of the next mash.")
    ] = "washback"


@dataclass(frozen=True)
class Decoction:
    """A part of the mash taken out after a rest, heated apart, boiled and given back, which brings the next rest."""

    after_rest: Annotated[
        int, Number("Taken out after rest", "rest", 1, 20, "Its number; the next one is reached by it.")
    ]
    boil_min: Annotated[float, Number("Boiled", "min", 0.0, 120.0, "", "boil of decoction {}")]
    share_pct: (
        Annotated[
            float,
            Number(
                "Share of the mash",
                "% of the mash",
                5.0,
                50.0,
                "By volume. Empty: what brings the mash to the next rest.",
            ),
        ]
        | None
    ) = None
    part: Annotated[PartOfMash, Described("Thick or thin", "Thick: much grain; thin: the liquid above it.")] = "thick"
    held_degC: Annotated[
        float,
        Number("Rest on the way to the boil", "degC", 40.0, 100.0, "Usual: 72.", "rest of decoction {}"),
    ] = 72.0
    held_min: Annotated[float, Number("For", "min", 0.0, 120.0, "", "rest of decoction {}")] = 10.0


@dataclass(frozen=True)
class CookerPlan:
    """How raw grain is cooked before the malt goes in; the hottest temperature is the plan's `cook_degC`."""

    cook_min: Annotated[float, Number("Held at the hottest", "min", 0.0, 240.0, "", "cook")] = 30.0
    slurry_degC: Annotated[float, Number("Slurry before it is heated", "degC", 5.0, 100.0, "", "slurry")] = 40.0
    second_species: Annotated[
        tuple[str, ...],
        Described("Second grain, put in on the way down", "Raw cereals put in below boiling, such as rye and wheat."),
    ] = ()
    second_degC: Annotated[float, Number("Second grain goes in at", "degC", 5.0, 100.0, "", "second grain")] = 77.0
    second_min: Annotated[float, Number("Stand with the second grain", "min", 0.0, 240.0, "", "second grain")] = 20.0
    malt_min: Annotated[
        float,
        Number("Stand with the malt", "min", 0.0, 240.0, "At the settled mash, to cooling.", "stand with the malt"),
    ] = 30.0


@dataclass(frozen=True)
class MashPlan:
    """How the grain meets the water: waters, rests or a cooker; without them one stand at the settled temperature.

    What is drawn off its grain and has no waters is sparged behind its first wort.

    `wort_L_per_t` is the wort collected by a separated house, the whole mash with its grain in a grain-in house.
    """

    kg_per_mash: Annotated[float, Number("Grist of one mash", "kg", 1.0, 100_000.0, "", "grist of a mash")]
    wort_L_per_t: Annotated[
        float,
        Number(
            "Wort, or whole mash, of a tonne",
            "L/t",
            2500.0,
            9000.0,
            "Wort collected by a separated house; the whole mash with its grain of a grain-in house.",
            "volume a tonne",
        ),
    ]
    settled_mash_degC: Annotated[
        float,
        Number(
            "Settled mash",
            "degC",
            40.0,
            78.0,
            "The mash after mixing, not the liquor. Empty: from the liquor or the longest rest, else 64.",
            "settled mash",
        ),
    ] = 64.0
    mash_pH: Annotated[float, Number("Mash pH, as measured", "pH", 4.5, 6.5, "", "mash pH")] | None = None
    cook_degC: (
        Annotated[
            float,
            Number(
                "Cooker, at its hottest",
                "degC",
                60.0,
                160.0,
                "Empty: no cooker. Above 100 degC it is a pressure vessel, under local rules and a licensed operator.",
                "cook",
            ),
        ]
        | None
    ) = None
    premalt_pct: Annotated[
        float, Number("Malt in the cooker", "% of the grist", 0.0, 20.0, "", "malt in the cooker")
    ] = 0.0
    backset_pct: Annotated[
        float,
        Number("Backset in the liquor", "% of the liquor", 0.0, 60.0, "Thin stillage in the mash liquor.", "backset"),
    ] = 0.0
    plate_area_m2: (
        Annotated[
            float,
            Number("Plates of the tun", "m2", 0.1, 500.0, "Of the tun or lauter. Empty: from a usual load."),
        ]
        | None
    ) = None
    usual_run_off_hours: (
        Annotated[float, Number("Usual run-off", "h", 0.2, 24.0, "Of the present bill. Empty: estimated.")] | None
    ) = None
    waters: Annotated[
        tuple[Water, ...], Described("Waters", "For wort drawn off in waters. None: the usual ones are worked out.")
    ] = ()
    grist_degC: Annotated[float, Number("Grist before mashing", "degC", -10.0, 45.0, "", "grist")] = 15.0
    vessel_loss_K: Annotated[
        float,
        Number("What a cold tun takes", "K", 0.0, 10.0, "Of the settled mash.", "loss to the vessel"),
    ] = 0.0
    bag_kg: Annotated[float, Number("A bag holds", "kg", 0.1, 2000.0)] = 25.0
    silo_kg: Annotated[float, Number("The silo scale weighs in steps of", "kg", 0.1, 2000.0)] = 5.0
    mill_gap_mm: Annotated[float, Number("Gap of the last rolls", "mm", 0.2, 4.0)] | None = None
    pH_aim: Annotated[float, Number("Mash pH aimed at", "pH", 4.8, 6.0, "Empty: 5.4.")] | None = None
    stand_min: (
        Annotated[
            float,
            Number(
                "Stand before run-off",
                "min",
                5.0,
                240.0,
                "From mashed in to the start of run-off.",
                "stand of the first water",
            ),
        ]
        | None
    ) = None
    vessel: Annotated[Vessel, Described("Vessel", "Mash tun, lauter tun or mash filter.")] = "tun"
    vessel_L: (
        Annotated[
            float,
            Number("The vessel holds", "L", 5.0, 1_000_000.0, "Empty: whether the mash fits is not looked at."),
        ]
        | None
    ) = None
    liquor_degC: (
        Annotated[
            float,
            Number(
                "Liquor of the first water",
                "degC",
                20.0,
                100.0,
                "In the tank, before it meets the grist. Given, the settled mash is worked out from it.",
                "first liquor",
            ),
        ]
        | None
    ) = None
    liquor_L_per_kg: (
        Annotated[
            float,
            Number(
                "Liquor at mashing in",
                "L/kg",
                1.5,
                12.0,
                "For a mash without waters below. Empty: from the volume of a tonne.",
                "liquor at mashing in",
            ),
        ]
        | None
    ) = None
    rests: Annotated[
        tuple[Rest, ...],
        Described(
            "Rests", "For a mash brought from rest to rest and run off after the last; sparges follow, no waters."
        ),
    ] = ()
    sparges: Annotated[
        tuple[Sparge, ...],
        Described(
            "Sparges",
            "Let onto the bed behind the first wort. None: what the wort collected still lacks, at a usual heat.",
        ),
    ] = field(default=(), metadata=LATER)
    decoctions: Annotated[
        tuple[Decoction, ...], Described("Decoctions", "Each brings the mash from one rest to the next.")
    ] = field(default=(), metadata=LATER)
    ramp_K_per_min: Annotated[
        float, Number("Heating from rest to rest", "K/min", 0.1, 5.0, "", "ramp between rests")
    ] = 1.0
    later_stand_min: Annotated[
        float, Number("Stand of each later water", "min", 0.0, 240.0, "", "stand of the later waters")
    ] = 20.0
    run_off_min: Annotated[
        float,
        Number(
            "Run-off of each water",
            "min",
            5.0,
            480.0,
            "Of the first wort and of each sparge, too.",
            "run-off of each water",
        ),
    ] = 40.0
    waters_to_washback: Annotated[
        int,
        Number(
            "Waters to the washback",
            "waters",
            1,
            4,
            "Of a mash in waters. What is run off after them is weak wort, the first liquor of the next mash.",
        ),
    ] = 2
    cooker: Annotated[CookerPlan, Described("Cooker", "Slurry, cook, second grain, malt, in that order.")] | None = None
    calcium_mg_per_L: (
        Annotated[float, Number("Calcium", "mg/L", 0.0, 600.0, "In the mash liquor.", "calcium of the liquor")] | None
    ) = None
    alkalinity_mg_per_L: (
        Annotated[
            float,
            Number(
                "Alkalinity",
                "mg/L as CaCO3",
                0.0,
                600.0,
                "In the mash liquor; with calcium or not at all.",
                "alkalinity of the liquor",
            ),
        ]
        | None
    ) = None
    model: Annotated[
        Model,
        Described(
            "Mash model",
            "How the mash is simulated: two_granules unless there is a reason; brandam2003 is the published model, for "
            "barley malt and maize from 37 to 76 degC.",
        ),
    ] = field(default="two_granules", metadata=LATER)
    chambers_L: Chambers | None = field(default=None, metadata=LATER)
    gum_enzyme: Annotated[
        GumEnzyme,
        Described("Enzyme against gums", "Beta-glucanase or xylanase put into the mash; say so under enzymes too."),
    ] = field(default="none", metadata=LATER)
    rest_liquor_degC: HotLiquor | None = field(default=None, metadata=LATER)
    rounding_pct: WholeBags = field(default=0.5, metadata=LATER)


@dataclass(frozen=True)
class PotStills:
    """Double distillation in pots: what is charged and where the cuts lie; strengths at 20 degC."""

    wash_charge_L: Annotated[float, Number("Charge of the wash still", "L", 10.0, 100_000.0)]
    spirit_charge_L: Annotated[float, Number("Charge of the spirit still", "L", 10.0, 100_000.0)]
    low_wines_abv_pct: Annotated[float, Number("Low wines", "%vol", 15.0, 35.0)] = 22.0
    charge_abv_pct: Annotated[float, Number("Strength of that charge", "%vol", 15.0, 35.0, "Feints in.")] = 25.0
    heart_abv_pct: Annotated[float, Number("Heart", "%vol", 55.0, 85.0, "Of the spirit filled from.")] = 69.0
    heating_kW: (
        Annotated[float, Number("Heat into the wash still", "kW", 0.5, 20_000.0, "At its most, through its surface.")]
        | None
    ) = field(default=None, metadata=LATER)
    heating_m2: (
        Annotated[float, Number("Heating surface of the wash still", "m2", 0.05, 500.0, "Wetted by the charge.")] | None
    ) = field(default=None, metadata=LATER)
    hearts_end_abv_pct: HeartsEnd | None = field(default=None, metadata=LATER)


@dataclass(frozen=True)
class ColumnDoubler:
    """A beer column and a doubler behind it; strengths at 20 degC."""

    beer_L_per_h: Annotated[float, Number("Feed of the column", "L/h", 10.0, 1_000_000.0)]
    head_abv_pct: Annotated[float, Number("Head of the column", "%vol", 40.0, 80.0)] = 60.0
    doubler_abv_pct: Annotated[
        float, Number("Spirit off the doubler", "%vol", 40.0, 96.0, "Of the spirit filled from.")
    ] = 68.0


@dataclass(frozen=True)
class PlantRecord:
    """What the plant really gets from one bill: litres of pure alcohol (20 degC) filled per tonne of grist as it is."""

    mean_lpa_per_t: Annotated[float, Number("Average, pure alcohol from a tonne", "L/t", 200.0, 480.0)]
    sd_lpa_per_t: Annotated[float, Number("Standard deviation between mashes", "L/t", 0.1, 100.0)]
    mashes: Annotated[int, Number("Mashes behind the average", "mashes", 1, 100_000)]


@dataclass(frozen=True)
class Plant:
    """A house. `kind` is separated (wort drawn off the grain) or grain-in (whole mash fermented and distilled)."""

    name: Annotated[str, Described("Name of the house")]
    kind: Annotated[
        Kind,
        Described("Wort or whole mash", "Separated: wort drawn off the grain; grain-in: the whole mash is distilled."),
    ]
    country: Annotated[
        str, Described("Country", "Such as DE; GB-SCT for Scotland, GB-NIR for Northern Ireland (ISO 3166).")
    ]
    mash: Annotated[MashPlan, Described("Mash")]
    washbacks: Annotated[Washbacks, Described("Washbacks")]
    tonnes_per_year: Annotated[float, Number("Grist mashed in a year", "t", 0.1, 1_000_000.0)]
    pot_stills: Annotated[PotStills, Described("Pot stills", "Or a column, not both; a brewer has neither.")] | None = (
        None
    )
    column: Annotated[ColumnDoubler, Described("Column and doubler")] | None = None
    one_distillery: Annotated[bool, Described("All at one distillery")] = True
    wort_boiled: Annotated[bool, Described("The wort is boiled", "A brewer boils.")] = False
    enzymes: Annotated[Enzymes, Described("Enzymes")] = "malt only"
    ferment_agents: Annotated[Agents, Described("Fermented with")] = "yeast"

    @property
    def grain_in(self) -> bool:
        """Whether the whole mash is fermented and distilled."""
        return self.kind == "grain-in"

    @property
    def grain_cooked(self) -> bool:
        """Whether raw grain goes through a cooker."""
        return self.mash.cook_degC is not None
