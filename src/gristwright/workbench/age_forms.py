"""The forms of the page of age: prices at release, and a claim with its two files."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from gristwright.basics import Problem, Refused, at
from gristwright.casework.claim import MODELS
from gristwright.files.claim_in import claim_faults, grists_text, parse_claims, parse_grists
from gristwright.files.ladder_in import read_casks
from gristwright.records.ageing import CaskTable, ClaimAsked
from gristwright.store.frozen import canonical, sha256
from gristwright.store.models import Release
from gristwright.workbench.faults import sentence
from gristwright.workbench.fields import Renderer, Sectioned, WrittenField, as_field
from gristwright.workbench.starting import sent_files

TABLES = ".csv,.tsv,.txt,.xlsx,.xls"


class ReleaseForm(Sectioned[Release]):
    """The customer's own prices; all of them empty is no price at all."""

    sections = (
        (
            "Prices at release",
            "The customer's own. All empty: no money is worked out beyond the new spirit. Evaporation left empty is as "
            "the cask is forecast.",
            (
                "energy_per_t", "cask_price", "fills", "rent_per_cask_year", "interest_pct_per_year",
                "evaporation_low_pct_per_year", "evaporation_high_pct_per_year", "bottling_loss_pct",
                "dry_goods_per_L", "new_make_cost_per_lpa",
            ),
        ),
    )  # fmt: skip

    class Meta:
        model = Release
        formfield_callback = as_field
        exclude = ("enquiry",)

    def clean(self) -> dict[str, Any]:
        """Both ends of the evaporation or neither, the low one first."""
        said = super().clean() or self.cleaned_data
        low, high = (said.get(f"evaporation_{end}_pct_per_year") for end in ("low", "high"))
        if (low is None) != (high is None) and not self.errors:
            raise ValidationError("Evaporation has one end only. Give low and high, or neither.")
        if low is not None and high is not None and low > high:
            raise ValidationError(f"Evaporation of {low:g} % a year is above the high, {high:g}. Exchange them.")
        return said

    @property
    def says_something(self) -> bool:
        """Whether any price is given."""
        return any(value is not None for value in self.cleaned_data.values())


class ClaimForm(forms.Form):
    """A claim of age with the casks that are to carry it; a file that is kept already need not be sent again."""

    default_renderer = Renderer
    claims = WrittenField(
        label="Claims",
        help_text="True age, colon, ages read, such as 3:6-8; several with spaces between.",
        required=False,
    )
    ladder = forms.FileField(
        label="Reference casks of known age",
        help_text="CSV or XLSX. A panel's scale says in its heading what it speaks of: [0-10, malt], "
        "[0-10, immature] or [0-10, age].",
        required=False,
    )
    arms = forms.FileField(label="Casks under test", help_text="CSV or XLSX", required=False)
    grists = WrittenField(
        label="What each arm was mashed from",
        help_text="One line an arm, such as A: pale_distilling_malt 90, caramel_malt_dark 10. An offer of the same "
        "types of malt is then shown with what was read.",
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    model = forms.ChoiceField(label="How markers go with age", choices=[(name, name) for name in MODELS])
    count = WrittenField(
        label="Markers of your own read for age",
        help_text="By heading, commas between; only what nothing but age moves.",
        required=False,
    )  # fmt: skip

    def __init__(self, data: Any = None, files: Any = None, *, kept: ClaimAsked | None = None) -> None:
        self.kept, self.asked = kept, kept
        self.warnings: tuple[Problem, ...] = ()
        super().__init__(data, files, initial=said_before(kept), prefix="claim")
        # A file stands for the table that was read from it.
        self.standing = {
            name: sha256(canonical(getattr(kept, name)))[:12] if kept else "" for name in ("ladder", "arms")
        }
        for name in ("ladder", "arms"):
            self.fields[name].widget.attrs["accept"] = TABLES

    def clean(self) -> dict[str, Any]:
        """The claim as a record, or every fault beside its field."""
        said = super().clean() or self.cleaned_data
        claims, faults = parse_claims(str(said.get("claims", "")).replace(";", " ").split(), at("claims"))
        grists, more = parse_grists(str(said.get("grists", "")), at("grists"))
        tables = {name: self._table(name) for name in ("ladder", "arms")}
        ladder, arms = tables["ladder"], tables["arms"]
        self._tell([*faults, *more], {})
        if ladder is None or arms is None:
            return said
        together = claim_faults(ladder, arms, claims, [(at("grists", one.arm), one) for one in grists])
        self._tell(together, {ladder.file: "ladder", arms.file: "arms"})
        count = tuple(filter(None, map(str.strip, str(said.get("count", "")).split(","))))
        self.asked = ClaimAsked(claims, ladder, arms, grists, str(said.get("model", "line")), count)
        return said

    def _table(self, name: str) -> CaskTable | None:
        """The table sent, else the one kept; None after a fault."""
        sent = self.cleaned_data.get(name)
        if not sent:
            if self.kept is None:
                self.add_error(name, "No file was chosen. Send a table of casks.")
                return None
            return self.kept.ladder if name == "ladder" else self.kept.arms
        try:
            reading = read_sent(sent, name == "arms")
        except Refused as refused:
            self.add_error(name, [sentence(problem) for problem in refused.problems])
            return None
        table, warnings = reading
        self.warnings = (*self.warnings, *warnings)
        return table

    def _tell(self, problems: list[Problem], files: dict[str, str]) -> None:
        """Faults beside the field they are addressed to, warnings kept to be told; `files` are the fields of files."""
        self.warnings = (*self.warnings, *(problem for problem in problems if problem.warning))
        for problem in (problem for problem in problems if not problem.warning):
            name = files.get(problem.address.file) or next(iter(problem.address.path), None)
            self.add_error(str(name) if name in self.fields else None, sentence(problem))


def said_before(kept: ClaimAsked | None) -> dict[str, Any]:
    """A kept claim as its form shows it."""
    if kept is None:
        return {"model": "line"}
    claims = [f"{one.years:g}:{one.low:g}" + (f"-{one.high:g}" if one.high != one.low else "") for one in kept.claims]
    grists = grists_text(kept.grists)
    return {"claims": " ".join(claims), "grists": grists, "model": kept.model, "count": ", ".join(kept.count)}


def read_sent(sent: UploadedFile[bytes], arms: bool) -> tuple[CaskTable, tuple[Problem, ...]]:
    """A table of casks out of a file that was sent. Raises Refused."""
    ((name, content),) = sent_files([sent]).items()
    with tempfile.TemporaryDirectory(prefix="gristwright-sent-") as folder:
        path = Path(folder) / name
        path.write_bytes(content)
        reading = read_casks(path, arms)
    return reading.accepted(), reading.problems
