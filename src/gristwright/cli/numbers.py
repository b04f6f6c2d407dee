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
