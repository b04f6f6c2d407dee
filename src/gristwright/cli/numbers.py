"""A number on the command line, with a decimal point or a decimal comma."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    _Type = click.ParamType[float]
else:
    _Type = click.ParamType


class NumberOption(_Type):
    """A decimal number; 63,5 and 63.5 are the same, 1,000 is refused as ambiguous."""

    name = "number"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """The number; fails in one sentence with the way out."""
        if isinstance(value, int | float):
            return float(value)
        from gristwright.basics import Refused
        from gristwright.quantities.units import parse_number

        try:
            return parse_number(str(value))
        except Refused as refused:
            self.fail(f"{refused.problems[0].what} {refused.problems[0].way_out}", param, ctx)


NUMBER = NumberOption()


class DayOption(click.DateTime):
    """A day written as 2026-11-25, of a year that a cask or a law can be of."""

    def __init__(self) -> None:
        super().__init__(["%Y-%m-%d"])

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The day; fails in one sentence with the way out."""
        day = super().convert(value, param, ctx)
        from gristwright.quantities.bounds import day_outside

        if said := day_outside(day.date()):
            self.fail(f"{said} Correct the year.", param, ctx)
        return day


DAY = DayOption()


class QuantityOption(_Type):
    """A number in the unit of the option, or one with its own behind it: 60F, 15.56C, "53 US gal", "125 US proof"."""

    def __init__(self, unit: str) -> None:
        self.name = self.unit = unit

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """The number in the option's unit; fails in one sentence with the way out."""
        if isinstance(value, int | float):
            return float(value)
        from gristwright.basics import Refused
        from gristwright.quantities.conversion import in_unit

        try:
            return in_unit(str(value), self.unit)
        except Refused as refused:
            self.fail(" ".join(f"{problem.what} {problem.way_out}" for problem in refused.problems), param, ctx)


TEMPERATURE, STRENGTH, VOLUME, MASS = (QuantityOption(unit) for unit in ("degC", "abv_pct", "litre", "kg"))
