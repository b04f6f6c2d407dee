"""Settings of stills that say more of themselves than fits a line of the plant."""

from __future__ import annotations

from typing import Annotated, TypeAlias

from gristwright.records.fields import Number

HeartsEnd: TypeAlias = Annotated[
    float,
    Number("Hearts end at", "%vol", 45.0, 75.0, "The cut to feints. Empty: from the strength of the heart."),
]
