"""What a page asks beside a fault of a certificate file, so that it is mended there by choosing. See docs/desk.md."""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from gristwright.basics import Address, Problem
from gristwright.files.cells import Sheet
from gristwright.files.certificates import Certificates, headings_of, read_heading
from gristwright.records.lot import Lot
from gristwright.reference.grains import protein_factors
from gristwright.stages.grist.certificate_units import fields
from gristwright.stages.grist.materials import material_named
from gristwright.stages.grist.unsaid import stated_factors, unsaid
from gristwright.workbench import explaining
from gristwright.workbench.explaining import (
    CONSTANT,
    HEADING,
    LINE,
    MATERIAL,
    MERGED,
    METHOD,
    ROLE,
    ROLE_WORDS,
    UNIT,
    WHOLE,
    Groups,
)
from gristwright.workbench.mending import Place, place_in

MARK = "heading "


@dataclass(frozen=True)
class Ask:
    """One choice, or one text where there is nothing to choose from; `id` is empty where it is asked above already."""

    what: str
    word: str
    label: str
    groups: Groups
    id: str = ""


@dataclass(frozen=True)
class Beside:
    """What is asked beside one fault, and whether the cell is typed over there too."""

    asks: tuple[Ask, ...] = ()
    place: Place | None = None


class Asker:
    """Looks at the faults of one file in their order; what two of them ask is asked once."""

    def __init__(self, read: Certificates, sheets: Sequence[Sheet], ignored: Sequence[str] = ()) -> None:
        self.read, self.sheets, self.ignored = read, sheets, ignored
        self.lots = {lot.where: lot for lot in read.reading.value or ()}
        self.names = Counter(lot.lot_id for lot in self.lots.values())
        self.cells = {(s.name, cell.row, cell.column): cell for s in sheets for row in s.cells for cell in row}
        self.untyped = [lot for lot in self.lots.values() if not lot.material]
        self.seen: set[tuple[str, str]] = set()

    def of(self, problem: Problem) -> Beside:
        """What is asked beside a fault."""
        place = place_in(problem.address, self.sheets)
        heading = _heading_in(problem.address)
        lot = self.lots.get(replace(problem.address, path=()))
        strange = self.read.strange.get(problem.address)
        if heading:
            return Beside(self._once(_of_heading(heading)), place)
        if strange:
            label = f"the unit “{strange.word}” is"
            return Beside(self._once(Ask(UNIT, strange.word, label, explaining.unit_choices(strange.field))), place)
        if self.read.reading.value is None and problem.address == Address(problem.address.file):
            return Beside(tuple(ask for text in headings_of(self.sheets) for ask in self._once(_of_heading(text))))
        if lot and problem.address.path[-1:] == ("material",):
            return Beside(self._of_type(lot), place)
        if lot and not lot.lot_id and problem.address.path[-1:] == ("lot",):
            return Beside((*self._once(_of_line(lot, "lot")), *self._once(_of_line(lot, WHOLE))), place)
        if lot and not problem.address.path:
            return self._of_twice(lot)
        if factor := self._factor_of(problem):
            return Beside(self._once(factor), place)
        cell = self.cells.get((place.sheet, place.row, place.column)) if place else None
        if place and cell and cell.copied:
            each = Ask(MERGED, place.key, "this merged cell is", explaining.choices(MERGED, place.key))
            return Beside(self._once(each), place)
        return Beside((), place)

    def _factor_of(self, problem: Problem) -> Ask | None:
        """The factor of a figure of protein that says none."""
        figure = next((a for lot in self.lots.values() for a in lot.analyses if a.where == problem.where), None)
        lot = next((lot for lot in self.lots.values() if figure in lot.analyses), None) if figure else None
        if figure is None or lot is None or figure.field != "protein_dry_pct" or stated_factors(figure):
            return None
        heading = next((c.heading for c in self.read.mapping.columns if c.field == figure.field), "")
        if not heading or problem not in unsaid(lot, material_named(lot.material, "lot")):
            return None
        choices = [(f"N x {factor:g}", f"{factor:g} times nitrogen") for factor in protein_factors()]
        return Ask(METHOD, heading, f"“{heading}” is", [("", choices)])

    def _of_twice(self, lot: Lot) -> Beside:
        """A lot that stands there twice by its name or by its number: the cell of that, or another name, or no lot."""
        role = "lot" if self.names[lot.lot_id] > 1 else "lot number"
        named = place_in(lot.where.to(role), self.sheets)
        own = () if named else self._once(_of_line(lot, "lot"))
        return Beside((*own, *self._once(_of_line(lot, WHOLE))), named)

    def _left_out(self, role: str) -> tuple[Ask, ...]:
        """Headings that are not read and may say what no lot of the file says; each is asked once."""
        meaning = [("", [(f"{ROLE}{role}", ROLE_WORDS[role])])]
        asks = [Ask(HEADING, text, f"the heading “{text}” says", meaning) for text in self.ignored]
        return tuple(ask for one in asks for ask in self._once(one) if ask.id)

    def _of_type(self, lot: Lot) -> tuple[Ask, ...]:
        if lot.material:
            label = f"“{lot.material}” is"
            return self._once(Ask(MATERIAL, lot.material, label, explaining.type_choices(lot.material)))
        own = (*self._once(_of_line(lot, "material")), *self._left_out("material"))
        if len(self.untyped) < 2 or (CONSTANT, "material") in self.seen:
            return own
        every = Ask(CONSTANT, "material", "every lot that does not say its type is", explaining.type_choices(""))
        return (*own, *self._once(every))

    def _once(self, ask: Ask) -> tuple[Ask, ...]:
        """The ask with its id; without one when it was asked before."""
        if (ask.what, ask.word) in self.seen:
            return (ask,)
        self.seen.add((ask.what, ask.word))
        return (replace(ask, id=f"say-{len(self.seen)}"),)


def _heading_in(address: Address) -> str:
    """The heading that an address speaks of; nothing where it speaks of something else."""
    said = str(address.path[-1]) if address.path else ""
    if not said.startswith(MARK):
        return ""
    try:
        return str(ast.literal_eval(said.removeprefix(MARK)))
    except (SyntaxError, ValueError):
        return ""


def _of_heading(heading: str) -> Ask:
    """A heading nobody knows can be anything; one that lacks its unit or basis is first of all one of its fields."""
    own = [fields()[name] for name in read_heading(heading).fields]
    groups = explaining.heading_choices(own) if own else explaining.choices(HEADING, heading)
    return Ask(HEADING, heading, f"“{heading}” is", groups)


def _of_line(lot: Lot, role: str) -> Ask:
    where = lot.where
    word = explaining.line_word(role, where.sheet, where.row or where.column or 0)
    label = {"material": "this lot is", WHOLE: "this line is"}.get(role, "this lot goes by the name")
    return Ask(LINE, word, label, explaining.choices(LINE, word))
