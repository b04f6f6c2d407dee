"""The forms of the pages. What they refuse they refuse in the words of the records' own limits."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeVar

from django import forms
from django.contrib.auth.forms import BaseUserCreationForm
from django.contrib.auth.models import User

from gristwright.records.enquiry import Enquiry
from gristwright.records.fields import fields_of
from gristwright.reference.codes import currencies
from gristwright.rules import law
from gristwright.store.columns import labelled
from gristwright.store.mapping import customer_named
from gristwright.store.models import Customer, EnquiryRow, LotGroup, OfferedLot
from gristwright.workbench.fields import Pct, Sectioned, WordsField, WrittenField, YesNo, as_field
from gristwright.workbench.record_form import Section
from gristwright.workbench.room import MOST_GROUPS

M = TypeVar("M", OfferedLot, LotGroup)
F = TypeVar("F", bound=forms.ModelForm[Any])


class OwnerForm(BaseUserCreationForm[User]):
    """The first and only owner of the desk."""

    username = WrittenField(label="Your name", max_length=150, help_text="As it is to stand beside what you change.")

    class Meta:
        model = User
        fields = ("username",)

    def _get_validation_exclusions(self) -> set[str]:
        # A person's name has spaces and accents, which the rule for names of accounts would refuse.
        return {*super()._get_validation_exclusions(), "username"}  # type: ignore[misc]


def categories_by_market() -> list[tuple[str, list[tuple[str, str]]]]:
    """The names the law reserves, market by market."""
    markets: dict[str, list[tuple[str, str]]] = {}
    for key, title, market in law.categories():
        markets.setdefault(market, []).append((key, title))
    return sorted(markets.items())


class QuestionForm(Sectioned[EnquiryRow]):
    """Who asks what, within which limits."""

    customer = WrittenField(label=labelled(Enquiry, "customer"), max_length=200, required=False)
    categories = WordsField(label="Names the spirit should be allowed to carry", required=False)
    markets = WordsField(
        label=labelled(Enquiry, "markets"), help_text=fields_of(Enquiry)["markets"].said.help, required=False
    )
    sections: Sequence[Section] = (
        ("The question", "", (
            "title", "customer", "question", "purpose", "language", "adviser", "date", "valid_days", "invented")),
        ("Money", "", ("currency", "processing_cost_per_t")),
        ("Limits", "Leave empty what is no limit.", (
            "least_lpa_per_t", "most_cost_per_lpa", "least_wash_abv_pct", "most_original_gravity_sg")),
        ("The search", "", ("grid_parts", "most_materials")),
        ("The law", "A rule is judged as it stands on the date of the enquiry.", ("markets", "categories")),
    )  # fmt: skip

    class Meta:
        model = EnquiryRow
        formfield_callback = as_field
        fields = (
            "title", "customer", "question", "purpose", "language", "adviser", "date", "valid_days", "invented",
            "currency", "processing_cost_per_t", "least_lpa_per_t", "most_cost_per_lpa", "least_wash_abv_pct",
            "most_original_gravity_sg", "grid_parts", "most_materials", "markets", "categories",
        )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        chosen = self.fields.get("categories")
        if isinstance(chosen, WordsField):
            chosen.choices = categories_by_market()
        sold = self.fields.get("markets")
        if isinstance(sold, WordsField):
            sold.choices = [(code, f"{name} ({code})") for code, name in law.markets_known()]
        self.fields["question"].widget.attrs["rows"] = 3
        self.fields["language"].help_text = "What stands behind them is English."
        self.fields["currency"] = currency_field(self.fields["currency"], self.instance.currency)
        self.initial["customer"] = str(self.instance.customer or "")

    def clean_customer(self) -> Customer | None:
        """The customer of that name, a new one when nobody is called so yet."""
        return customer_named(str(self.cleaned_data["customer"]).strip())


def currency_field(asked: forms.Field, kept: str) -> forms.ChoiceField:
    """A currency chosen by its code; one of a file that no table has stays on offer."""
    codes = dict.fromkeys([*([kept] if kept else []), *currencies()])
    unsaid = {"required": "No currency is chosen. Choose one."}
    choices = [("", "not chosen"), *((code, code) for code in codes)]
    return forms.ChoiceField(label=asked.label, choices=choices, error_messages=unsaid)


class TodayForm(Sectioned[EnquiryRow]):
    """Today's bill by name, and what the house gets from it."""

    sections: Sequence[Section] = (
        ("Today", "The house's own average moves every offer to where the house runs. Leave it empty without one.", (
            "present_name", "record_mean_lpa_per_t", "record_sd_lpa_per_t", "record_mashes")),
    )  # fmt: skip

    class Meta:
        model = EnquiryRow
        formfield_callback = as_field
        fields = ("present_name", "record_mean_lpa_per_t", "record_sd_lpa_per_t", "record_mashes")


class OfferForm(forms.ModelForm[OfferedLot]):
    """Price and range of a lot, and its share today."""

    least_parts = Pct(label="At least, %")
    most_parts = Pct(label="At most, %")
    today = Pct(label="Share today, %", required=False)
    for_character = forms.NullBooleanField(label="Bought for character", widget=YesNo("as its type"), required=False)

    field_order = ("price_per_t", "least_parts", "most_parts", "today", "for_character")

    class Meta:
        model = OfferedLot
        formfield_callback = as_field
        fields = ("price_per_t", "least_parts", "most_parts", "for_character")

    @property
    def line(self) -> str:
        """The lot, as a fault names it."""
        return self.instance.lot_id

    def clean(self) -> dict[str, Any]:
        """Least is not above most."""
        said = super().clean() or self.cleaned_data
        in_order(said)
        return said


class GroupForm(forms.ModelForm[LotGroup]):
    """A bound on several lots together."""

    keys = WordsField(label="Lots")
    least_parts = Pct(label="At least, %", initial=0)
    most_parts = Pct(label="At most, %", initial=10_000)

    class Meta:
        model = LotGroup
        formfield_callback = as_field
        fields = ("name", "keys", "least_parts", "most_parts")

    def __init__(self, *args: Any, lots: dict[str, str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        chosen = self.fields["keys"]
        assert isinstance(chosen, WordsField)
        chosen.choices = list(lots.items())
        self.line = self.instance.name or "New group"

    def clean(self) -> dict[str, Any]:
        """Least is not above most."""
        said = super().clean() or self.cleaned_data
        in_order(said)
        return said


def in_order(said: dict[str, Any]) -> None:
    """Raise ValidationError when the least of a range is above its most."""
    least, most = said.get("least_parts"), said.get("most_parts")
    if least is not None and most is not None and least > most:
        raise forms.ValidationError(
            f"At least {least / 100:g} % is above at most {most / 100:g} %. Exchange them or widen the range."
        )


class Takeable(forms.BaseInlineFormSet[M, EnquiryRow, F]):
    """A set whose members can be taken out."""

    default_error_messages = {  # noqa: RUF012
        "too_many_forms": "There is room for %(num)d. Delete one that nobody needs.",
        "missing_management_form": "The list came without its length. Load the page anew.",
    }

    def add_fields(self, form: F, index: int | None) -> None:
        """The box that takes one out, in our words."""
        super().add_fields(form, index)
        if "DELETE" in form.fields:
            form.fields["DELETE"].label = "Delete" if self.model is LotGroup else "Take it off the list"


# A line that says of no lot that it is on offer makes none: lots come under Lots.
OfferSet = forms.inlineformset_factory(
    EnquiryRow, OfferedLot, form=OfferForm, formset=Takeable, extra=0, edit_only=True
)
GroupSet = forms.inlineformset_factory(
    EnquiryRow,
    LotGroup,
    form=GroupForm,
    formset=Takeable,
    extra=1,
    can_delete_extra=False,
    max_num=MOST_GROUPS,
    absolute_max=2 * MOST_GROUPS,
    validate_max=True,
)
