"""The pages of a brewer's enquiry: the question without law and search, the house without stills, today's bill."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, cast

from django import forms

from gristwright.records.enquiry import OF_BEER
from gristwright.reference.house_words import for_a_brewer, in_words_of
from gristwright.store.models import EnquiryRow
from gristwright.workbench.fields import as_field
from gristwright.workbench.forms import QuestionForm, TodayForm
from gristwright.workbench.house_form import HouseForm
from gristwright.workbench.record_form import Section

# Sections and fields of a house that only a distiller has.
DISTILLERS, DISTILLERS_FIELDS = ("Stills",), ("one_distillery", "ferment_agents")
# What an empty page of a brewery begins with.
BEGINS_WITH = {"kind": "separated", "wort_boiled": True}


class BrewersQuestionForm(QuestionForm):
    """Who asks what of a beer."""

    categories = None  # type: ignore[assignment]
    markets = None  # type: ignore[assignment]
    sections = (
        ("The question", "", (
            "title", "customer", "question", "purpose", "language", "adviser", "date", "valid_days", "invented")),
        ("Beer and money", "", ("target_attenuation_pct", "currency")),
        ("Demands", "Leave empty what is none. They are held against the bills that are searched.", OF_BEER),
        ("The search", "", ("grid_parts", "most_materials")),
    )  # fmt: skip

    class Meta:
        model = EnquiryRow
        formfield_callback = as_field
        fields = (
            "title", "customer", "question", "purpose", "language", "adviser", "date", "valid_days", "invented",
            "target_attenuation_pct", "currency", "grid_parts", "most_materials", *OF_BEER,
        )  # fmt: skip


class BrewersTodayForm(TodayForm):
    """Today's bill by name; litres of spirit are asked of nobody."""

    sections = (("Today", "", ("present_name",)),)

    class Meta:
        model = EnquiryRow
        formfield_callback = as_field
        fields = ("present_name",)


class BreweryForm(HouseForm):
    """A house that boils its wort. Stills kept while the enquiry was a distiller's stay in the document."""

    def __init__(self, data: Any = None, *, document: Mapping[str, Any]) -> None:
        super().__init__(data, document=document)
        for field in self.fields.values():
            field.label = in_words_of(str(field.label), True)
            field.help_text = in_words_of(str(field.help_text), True)
            if isinstance(field, forms.ChoiceField):
                choices = cast(Iterable[tuple[str, str]], field.choices)
                field.choices = [(value, in_words_of(str(said), True)) for value, said in choices]

    @classmethod
    def sections_for(cls, document: Mapping[str, Any]) -> Sequence[Section]:
        """Those of any house but for the stills."""
        return [
            (*for_a_brewer((legend, note)), [name for name in names if name not in DISTILLERS_FIELDS])
            for legend, note, names in super().sections_for(document)
            if legend not in DISTILLERS
        ]

    @classmethod
    def shown(cls, document: Mapping[str, Any]) -> dict[str, Any]:
        """What the fields show; a brewery that nothing is said of boils a wort drawn off the grain."""
        return {**super().shown(document), **({} if document else BEGINS_WITH)}

    def words(self, text: str) -> str:
        """A sentence in a brewer's words."""
        return in_words_of(text, True)

    @property
    def document(self) -> dict[str, Any]:
        """The house as it was sent, with what this page does not ask."""
        kept = ("pot_stills", "column", *DISTILLERS_FIELDS)
        return super().document | {name: self.before[name] for name in kept if name in self.before}


def question_form(enquiry: EnquiryRow) -> type[QuestionForm]:
    """The form of the question, by what is asked about."""
    return BrewersQuestionForm if enquiry.brews else QuestionForm


def today_form(enquiry: EnquiryRow) -> type[TodayForm]:
    """The form of today's bill, by what is asked about."""
    return BrewersTodayForm if enquiry.brews else TodayForm
