"""The cask as a form. Capacity and staves left empty are those of the kind; a store of the table brings its months."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms

from gristwright.basics import Problem, at
from gristwright.files.plant_in import cask_of
from gristwright.files.record_in import MISSING, as_data
from gristwright.records.cask import CaskKind, LaterStay
from gristwright.records.enquiry import CaskPlan
from gristwright.records.fields import fields_of
from gristwright.stages.cask import stores
from gristwright.workbench.faults import cask_field, told
from gristwright.workbench.fields import WordsField, shown
from gristwright.workbench.house_form import country_field
from gristwright.workbench.record_form import RecordForm, Section, record_fields, value_at

NOT_CHOSEN = ("", "not chosen")
ADDITIONS = ("water", "E150a", "sugar", "flavouring", "neutral spirit", "other whisky")
KIND, STORE = "kind-name", "climate-name"
BEHIND = "Casks and vats behind the first"
# What a kind of the table says where the user says nothing.
OF_KIND = {"kind-capacity_L": "capacity_L", "kind-wall_mm": "wall_mm"}
# What a document leaves out of the rest, for it is as usual of any cask.
AS_ANY = {
    name: field.default
    for name, field in fields_of(CaskKind).items()
    if not field.needed and name not in OF_KIND.values()
}


class CaskForm(RecordForm):
    """What the spirit is filled into, where it lies and how it is bottled."""

    record = CaskPlan
    sections = (
        ("The cask", "Capacity and staves left empty are those behind the kind; what is written in stays.", (
            KIND, *OF_KIND, "kind-wood", "kind-fill_number", "kind-prior_contents", "kind-charred")),
        ("Where it lies", "", (STORE, "entry_abv_pct", "years", "first_month", "excise_warehouse", "one_season")),
        (BEHIND, "A finish, a vat, another country. They count for the law; the forecast follows the first cask.", ()),
        ("The bottle", "", ("bottle_abv_pct", "bottle_L", "additions")),
    )  # fmt: skip
    threes = (BEHIND,)

    def __init__(self, data: Any = None, *, document: Mapping[str, Any]) -> None:
        super().__init__(data, document=document)
        kind, store = (self.initial.get(name) or "" for name in (KIND, STORE))
        kinds = [NOT_CHOSEN, *((name, kind_label(name)) for name, _ in with_kept(stores.kind_names(), kind))]
        places = [NOT_CHOSEN, *with_kept(stores.climate_names(), store)]
        self.fields[KIND] = _choice(self.fields[KIND].label, kinds, "No kind of cask is chosen. Choose one.")
        self.fields[STORE] = _choice(self.fields[STORE].label, places, "No store is chosen. Choose one.")
        for name in [name for name in self.fields if name.startswith("stays-") and name.endswith("-country")]:
            self.fields[name] = country_field(self.fields[name], str(self.initial.get(name) or ""))
        added = with_kept(ADDITIONS, *self.initial["additions"])
        self.fields["additions"] = WordsField(label=self.fields["additions"].label, choices=added, required=False)
        for name, of in OF_KIND.items():
            self.fields[name].help_text += ". Empty: the usual of the kind chosen."
            # The usual number is not written in, so that it goes with the kind when another one is chosen; nor is one
            # that nobody gave, while there is no kind.
            given = self.initial.get(name) if kind else document.get("kind", {}).get(of)
            if given == usual_of(kind).get(of):
                self.initial[name] = None

    @classmethod
    def sections_for(cls, document: Mapping[str, Any]) -> Sequence[Section]:
        """Room for every stay behind the first cask, and one more."""
        room = range(1, len(value_at(document, ("stays",)) or ()) + 2)
        more = tuple(f"stays-{number}-{name}" for number in room for name in record_fields(LaterStay))
        return [(legend, note, more if legend == BEHIND else names) for legend, note, names in cls.sections]

    @property
    def usual(self) -> dict[str, dict[str, str]]:
        """Capacity and staves of every kind, as the page shows them."""
        return {kind: {name: shown(usual_of(kind)[of]) for name, of in OF_KIND.items()} for kind in stores.kind_names()}

    @property
    def document(self) -> dict[str, Any]:
        """The cask as it was sent, with what its kind and its store say."""
        tree = super().document
        # What was emptied in between closes up.
        stays = [stay for stay in tree.pop("stays", []) if stay]
        tree |= {"stays": stays} if stays else {}
        kind = tree.get("kind", {})
        said = {of: self.cleaned_data.get(name) for name, of in OF_KIND.items()}
        if kind.get("name") in stores.kind_names():
            own = {of: value for of, value in said.items() if value is not None}
            tree["kind"] = {**as_data(stores.kind_named(kind["name"]), whole=True), **AS_ANY, **kind, **own}
        store = tree.get("climate", {}).get("name", "")
        if store in stores.climate_names():
            tree["climate"] = as_data(stores.climate_named(store), whole=True)
        elif store:
            tree["climate"] = self.before["climate"]
        return tree

    def clean(self) -> dict[str, Any]:
        """Every fault of the cask beside its field; what is not filled in yet is none."""
        problems: list[Problem] = []
        if not self.errors:
            cask_of(self.document, at("cask"), problems)
        for problem in problems:
            if problem.what != MISSING:
                name = cask_field(problem.address.path[1:])
                self.add_error(name if name in self.fields else None, told(problem))
        return self.cleaned_data


def _choice(label: Any, choices: list[tuple[str, str]], unsaid: str) -> forms.ChoiceField:
    return forms.ChoiceField(label=label, choices=choices, error_messages={"required": unsaid})


def usual_of(kind: str) -> dict[str, float]:
    """Capacity and staves of a kind of the table, nothing for another one."""
    if kind not in stores.kind_names():
        return {}
    usual = stores.kind_named(kind)
    return {of: getattr(usual, of) for of in OF_KIND.values()}


def kind_label(kind: str) -> str:
    """A kind with what is usual of it."""
    usual = [shown(value) for value in usual_of(kind).values()]
    return "{} ({} L, {} mm)".format(kind, *usual) if usual else kind


def with_kept(names: tuple[str, ...], *kept: str) -> list[tuple[str, str]]:
    """The names on offer, and what is kept already though no table has it."""
    return [(name, name) for name in dict.fromkeys((*names, *(name for name in kept if name)))]
