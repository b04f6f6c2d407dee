"""Where the wort ferments, and how: vessels, yeast, cooling, and courses that the house has measured."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Literal, TypeAlias

from gristwright.records.fields import LATER, Described, Number

Cooling: TypeAlias = Literal["", "none", "jacket", "coil", "exchanger"]
Yeast: TypeAlias = Literal["", "distilling", "ale", "clove ale", "lager", "leaves maltotriose"]
Wall: TypeAlias = Literal["", "steel", "wood", "lagged"]
Bacteria: TypeAlias = Literal["", "clean", "usual", "dirty"]
MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
          "December")  # fmt: skip


@dataclass(frozen=True)
class WashReading:
    """One reading of a fermentation that the house has measured: its hour, with the gravity or the temperature."""

    hours: Annotated[float, Number("After pitching", "h", 0.0, 200.0, "", "hour of reading {}")]
    gravity_sg: (
        Annotated[float, Number("Gravity", "SG", 0.980, 1.130, "At 20 degC, freed of gas.", "gravity of reading {}")]
        | None
    ) = None
    degC: (
        Annotated[float, Number("Temperature of the wash", "degC", 5.0, 45.0, "", "temperature of reading {}")] | None
    ) = None


@dataclass(frozen=True)
class WashMonth:
    """Room and cooling water of one month."""

    month: Annotated[int, Number("Month", "", 1, 12, "1 is January.")]
    room_degC: Annotated[float, Number("Room", "degC", -10.0, 45.0, "", "room of month {}")]
    water_degC: Annotated[float, Number("Cooling water", "degC", 0.0, 35.0, "", "cooling water of month {}")] | None = (
        None
    )


@dataclass(frozen=True)
class Washbacks:
    """Where the wort ferments."""

    count: Annotated[int, Number("Washbacks", "washbacks", 1, 200)]
    volume_L: Annotated[float, Number("A washback holds", "L", 50.0, 500_000.0, "", "volume of a washback")]
    hours: Annotated[float, Number("Fermentation", "h", 36.0, 160.0, "From set to charge.", "fermentation")]
    set_degC: Annotated[float, Number("Set temperature", "degC", 10.0, 32.0, "", "set temperature")] = 20.0
    cooling: Annotated[
        Cooling,
        Described(
            "Cooling of the washbacks", "None, a jacket, a coil inside, or an exchanger the wash is pumped through."
        ),
    ] = field(default="", metadata=LATER)  # empty: not stated
    yeast: Annotated[
        Yeast,
        Described(
            "Yeast", "Its kind, not its name. Empty: a distiller's yeast; in a brewery an ale yeast without clove."
        ),
    ] = field(default="", metadata=LATER)
    pitch_million_per_mL: (
        Annotated[
            float,
            Number("Pitch", "million cells/mL", 0.5, 200.0, "Cells in the full washback. Empty: 10 to 20.", "pitch"),
        ]
        | None
    ) = field(default=None, metadata=LATER)
    viability_pct: (
        Annotated[
            float,
            Number("Alive at pitching", "% of the cells", 10.0, 100.0, "Empty: 90 to 98.", "yeast alive at pitching"),
        ]
        | None
    ) = field(default=None, metadata=LATER)
    room_degC: (
        Annotated[float, Number("Room", "degC", -10.0, 45.0, "Around the washbacks. Empty: 12 to 24.", "room")] | None
    ) = field(default=None, metadata=LATER)
    cooling_m2: (
        Annotated[
            float,
            Number(
                "Cooling surface of a washback",
                "m2",
                0.05,
                500.0,
                "Empty: it is taken to be enough.",
                "cooling surface",
            ),
        ]
        | None
    ) = field(default=None, metadata=LATER)
    water_degC: (
        Annotated[float, Number("Cooling water", "degC", 0.0, 35.0, "As it goes in. Empty: 8 to 18.", "cooling water")]
        | None
    ) = field(default=None, metadata=LATER)
    cooled_from_degC: (
        Annotated[
            float,
            Number(
                "Cooled from",
                "degC",
                8.0,
                38.0,
                "The wash is let rise to here. Empty: 33 in a distillery, the set temperature and 2 K in a brewery.",
                "temperature of cooling",
            ),
        ]
        | None
    ) = field(default=None, metadata=LATER)
    ceiling_degC: (
        Annotated[
            float,
            Number("Warmest wash wanted", "degC", 15.0, 38.0, "Empty: 34; it is warned of what goes above."),
        ]
        | None
    ) = field(default=None, metadata=LATER)
    wall: Annotated[Wall, Described("Wall of a washback", "Bare steel, wood, or lagged. Empty: between them.")] = field(
        default="", metadata=LATER
    )
    bacteria: Annotated[
        Bacteria,
        Described(
            "Bacteria of the house",
            "Clean: washed and sterilised each time. Dirty: they are seen or tasted early. Empty: usual.",
        ),
    ] = field(default="", metadata=LATER)
    course: Annotated[
        tuple[WashReading, ...],
        Described("Measured course", "Readings of a fermentation of the present bill: the pace is moved to them."),
    ] = field(default=(), metadata=LATER)
    months: Annotated[
        tuple[WashMonth, ...], Described("Room and water by month", "For the peak of every month of the year.")
    ] = field(default=(), metadata=LATER)
