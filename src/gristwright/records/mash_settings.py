"""Settings of a mash that came in later, each with its bounds: fields of the mash plan in records/plant.py."""

from __future__ import annotations

from typing import Annotated, TypeAlias

from gristwright.records.fields import Number

Chambers: TypeAlias = Annotated[
    float, Number("The filter's chambers hold", "L", 5.0, 100_000.0, "All frames together. Of a mash filter.")
]
HotLiquor: TypeAlias = Annotated[
    float,
    Number(
        "Hot liquor from rest to rest",
        "degC",
        60.0,
        100.0,
        "For a vessel that cannot be heated; it is part of the liquor at mashing in. Empty: the vessel heats.",
        "hot liquor of the rests",
    ),
]
WholeBags: TypeAlias = Annotated[
    float,
    Number(
        "Whole bags within",
        "% of the grist",
        0.0,
        5.0,
        "A special malt further from whole bags than this is weighed out loose.",
    ),
]
