"""A lot typed in, refused in the sentences of a certificate file. See docs/desk.md."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, TypeAlias

from django import forms
from django.utils import timezone

from gristwright.basics import NOWHERE, Address, Problem, Refused, Standing, at
from gristwright.documents.certificate import lot_sheet
from gristwright.files.certificates import Gathered, Heading, column_of, make_lot, words
from gristwright.quantities.shown import capital
from gristwright.records.lot import Analysis, Lot, Material
from gristwright.reference.grains import usual
from gristwright.stages.grist.certificate_units import Field, fields, in_table_unit
from gristwright.stages.grist.materials import materials
from gristwright.store.models.enquiries import LONGEST_NAME
from gristwright.workbench.fields import EVERY, NumberField, WrittenField, count_in
from gristwright.workbench.templatetags.desk import degrees

Groups: TypeAlias = list[tuple[str, list[tuple[str, str]]]]
EMPTY_LINES, MOST_LINES = 8, 80
TYPED = "typed in"
# Fields of the form for what a lot's identity is called where it is read.
OF_ROLE = {"lot": "name", "material": "material", "crop": "crop", "lot number": "lot_number", "supplier": "supplier"}
GROUP_OF = {
    "caramel": "Caramel malt",
    "roast": "Roasted malt and grain",
    "smoked": "Smoked malt",
    "flaked": "Flaked grain",
}


def types_by_group() -> Groups:
    """Every type by its title, in the groups and the order of the types table."""
    groups: dict[str, list[tuple[str, str]]] = {}
    for key, material in materials().items():
        group = GROUP_OF.get(material.process, _group(material))
        groups.setdefault(group, []).append((key, material.title))
    return list(groups.items())


def _group(material: Material) -> str:
    if material.malted:
        return "Malt of barley" if material.species == usual() else "Malt of other grain"
    return "Husks" if material.husk else "Raw grain"


def field_choices() -> list[tuple[str, str]]:
    """Every field of a certificate by its title."""
    return [(field.name, capital(field.title)) for field in fields().values()]


def unit_choices(field: Field | None) -> list[tuple[str, str]]:
    """The units a field may come in; every unit there is while no field is chosen."""
    units = field.units if field else tuple(dict.fromkeys(u for one in fields().values() for u in one.units))
    return [(unit, degrees(unit)) for unit in units]


def bases() -> list[tuple[str, str]]:
    """Every basis a figure may stand on."""
    return [("", "as its name says"), *((basis, basis) for basis in dict.fromkeys(words("basis").values()))]


class LotForm(forms.Form):
    """What a lot is known by."""

    name = WrittenField(max_length=LONGEST_NAME, error_messages={"required": "It is empty. Give the lot a name."})
    material = forms.ChoiceField(
        label="Type of malt or grain", error_messages={"required": "Nothing is chosen. Choose the type."}
    )
    supplier = WrittenField(max_length=200, required=False)
    lot_number = WrittenField(label="Lot number of the supplier", max_length=200, required=False)
    crop = WrittenField(label="Crop, year", max_length=40, required=False)
    dated = forms.DateField(
        label="Date of the certificate, if there is one",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        required=False,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        chosen = self.fields["material"]
        assert isinstance(chosen, forms.ChoiceField)
        kept = str(self.initial.get("material", ""))
        own = [] if not kept or kept in materials() else [(kept, kept)]
        chosen.choices = [("", "choose"), *own, *types_by_group()]
        for field in ("name", "supplier", "lot_number", "crop"):
            self.fields[field].widget.attrs["autocomplete"] = "off"

    def clean_dated(self) -> dt.date | None:
        """No certificate is of a day that is still to come."""
        day: dt.date | None = self.cleaned_data["dated"]
        if day and day > timezone.localdate():
            raise forms.ValidationError(f"{day.isoformat()} is still to come. Give the day the certificate says.")
        return day


class LineForm(forms.Form):
    """One figure of a certificate; a line with nothing in it counts for nothing."""

    field = forms.ChoiceField(label="Analysis", required=False)
    value = NumberField(label="Value", required=False)
    unit = forms.ChoiceField(label="Unit", required=False)
    basis = forms.ChoiceField(label="Basis", required=False)
    method = WrittenField(label="Method", max_length=120, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        said = self.data.get(self.add_prefix("field")) if self.is_bound else self.initial.get("field")
        self.known = fields().get(str(said or ""))
        choices = {
            "field": [("", "nothing"), *field_choices()],
            "unit": [("", "not said"), *unit_choices(None if self.is_bound else self.known)],
            "basis": bases(),
        }
        for name, offered in choices.items():
            chosen = self.fields[name]
            assert isinstance(chosen, forms.ChoiceField)
            chosen.choices = offered
        value = self.fields["value"]
        assert isinstance(value, NumberField)
        value.within = (self.known.least, self.known.most) if self.known else EVERY
        self.fields["method"].widget.attrs["autocomplete"] = "off"

    def analysis(self, number: int) -> Analysis | None:
        """The figure of this line, placed by its number; None for an empty line and after noting a fault."""
        said = self.cleaned_data
        if not self.known and said.get("value") is None:
            return None
        if not self.known:
            self.add_error("field", "Nothing is chosen. Choose what the value is, or take it away.")
        elif said.get("value") is None:
            if "value" not in self.errors:
                self.add_error("value", "It is empty. Write the value, or choose nothing for the analysis.")
        else:
            return self._read(self.known, at(f"line {number}"))
        return None

    def _read(self, known: Field, where: Address) -> Analysis | None:
        said = self.cleaned_data
        unit = said.get("unit") or (known.units[0] if len(known.units) == 1 else "")
        basis = said.get("basis") or (known.basis if known.needs_basis else "")
        heading = Heading(known.short, "field", (known.name,), "", basis, said.get("method") or "")
        try:
            column = column_of(heading, unit, where)
        except Refused as refused:
            for problem in refused.problems:
                self.add_error("basis" if "basis" in problem.what else "unit", _way_out(problem, known))
            return None
        try:
            in_table_unit(known.name, said["value"], column.unit)
        except Refused as refused:
            self.add_error("value", [sentence(problem) for problem in refused.problems])
            return None
        return Analysis(known.name, said["value"], column.unit, column.basis, column.method, Standing.MEASURED, where)


def _way_out(problem: Problem, known: Field) -> str:
    """A fault of a unit with what to choose on this page."""
    if "has no unit" in problem.what:
        return f"It has no unit. Choose one of: {', '.join(map(degrees, known.units))}."
    return sentence(problem)


LineSet = forms.formset_factory(LineForm, extra=0, max_num=MOST_LINES, absolute_max=MOST_LINES)


def sentence(problem: Problem) -> str:
    """A fault without its place, for it stands there."""
    return degrees(capital(f"{problem.what} {problem.way_out}".strip()))


class TypedLot:
    """The whole page: the lot's identity and its lines, from what was sent or from a lot."""

    def __init__(self, data: Mapping[str, Any] | None = None, lot: Lot | None = None) -> None:
        self.before = lot
        self.head = LotForm(data, initial=head_of(lot))
        # A line that is as it was is checked like the others.
        self.lines = LineSet(data, prefix="lines", initial=None if data else lines_of(lot))

    def lot(self) -> Lot | None:
        """The lot as typed; None where something is wrong, which then stands beside its field."""
        tidy = all([self.head.is_valid(), self.lines.is_valid()])
        figures = [form.analysis(n) for n, form in enumerate(self.lines.forms, 1)]
        analyses = [figure for figure in figures if figure]
        said = {role: str(self.head.cleaned_data.get(name) or "") for role, name in OF_ROLE.items()}
        gathered = Gathered([])
        lot = make_lot(said, analyses, at(TYPED), gathered)
        sheet = lot_sheet(lot, {}, timezone.localdate())
        asked = (*gathered.problems, *sheet.problems)
        faults = list(dict.fromkeys(problem for problem in asked if not problem.warning))
        for problem in faults:
            self._beside(problem)
        if faults or not tidy or any(form.errors for form in self.lines.forms):
            return None
        return placed(lot, self.head.cleaned_data["dated"], self.before)

    def _beside(self, problem: Problem) -> None:
        """A fault put beside the field it means, once."""
        path = problem.address.path
        line = re.fullmatch(r"line (\d+)", str(path[0])) if path else None
        if line:
            form: forms.Form = self.lines.forms[int(line[1]) - 1]
            form.add_error("value", sentence(problem))
            return
        name = OF_ROLE.get(str(path[-1])) if path else None
        if name is None or not self.head.errors.get(name):
            self.head.add_error(name, sentence(problem))


def head_of(lot: Lot | None) -> dict[str, Any]:
    """What a lot is known by, as the form begins."""
    if lot is None:
        return {}
    # A typed figure of a dated certificate stands at: typed in, its day, its own name.
    paths = [analysis.where.path for analysis in lot.analyses if _typed(analysis)]
    dated = next((path[1] for path in paths if len(path) == 3), None)
    own = {"name": lot.lot_id, "material": lot.material, "supplier": lot.supplier, "lot_number": lot.lot_number}
    return {**own, "crop": lot.crop or "", "dated": dated}


def lines_of(lot: Lot | None) -> list[dict[str, Any]]:
    """A line for each figure, and empty ones."""
    figures = lot.analyses if lot else ()
    said = [{"field": a.field, "value": a.value, "unit": a.unit, "basis": a.basis, "method": a.method} for a in figures]
    return said + [{} for _ in range(max(EMPTY_LINES - len(said), 2))]


def one_more(data: Mapping[str, Any]) -> TypedLot:
    """The page as it was typed, checked by nobody yet, with one line more."""
    typed = TypedLot()
    names = list(typed.head.fields)
    typed.head = LotForm(initial={name: data.get(name, "") for name in names})
    count = count_in(str(data.get("lines-TOTAL_FORMS", "")), MOST_LINES - 1)
    said = [{name: data.get(f"lines-{n}-{name}", "") for name in LineForm.base_fields} for n in range(count)]
    typed.lines = LineSet(prefix="lines", initial=[*said, {}])
    return typed


def placed(lot: Lot, dated: dt.date | None, before: Lot | None) -> Lot:
    """The lot with the place of each figure: typed in, or where the one that is the same stood before.

    A lot with a figure that was typed in no longer says that its figures came in one file.
    """
    kept = {_figure(analysis): analysis for analysis in (before.analyses if before else ()) if not _typed(analysis)}
    origin = at(TYPED, dated.isoformat()) if dated else at(TYPED)
    analyses = tuple(kept.get(_figure(a)) or replace(a, where=origin.to(_name(a))) for a in lot.analyses)
    all_kept = bool(before and analyses) and all(a in kept.values() for a in analyses)
    where = before.where if before and (all_kept or before.where.file) else origin
    return replace(lot, analyses=analyses, where=where, certificate=before.certificate if before and all_kept else "")


def _figure(analysis: Analysis) -> Analysis:
    """A figure without its place."""
    return replace(analysis, where=NOWHERE, standing=Standing.MEASURED)


def _typed(analysis: Analysis) -> bool:
    return analysis.where.path[:1] == (TYPED,)


def _name(analysis: Analysis) -> str:
    """What tells one typed figure from the others of its lot."""
    known = fields()[analysis.field]
    return " ".join(text for text in (known.short, analysis.basis, f"[{degrees(analysis.unit)}]") if text)
