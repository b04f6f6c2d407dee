"""The house as a form: what it says is read as a plant file is, and every fault told beside its field."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms

from gristwright.basics import FieldPath, Problem, at
from gristwright.files.plant_in import plant_of
from gristwright.files.record_in import MISSING, NOT_READ
from gristwright.records.fields import Number, field_at
from gristwright.records.plant import WATERS, ColumnDoubler, Decoction, Plant, PotStills, Rest, Sparge
from gristwright.records.washbacks import MONTHS, WashMonth, WashReading
from gristwright.reference.codes import places
from gristwright.reference.grains import cooked_first, kept_raw
from gristwright.stages.mash.limits_plan import MOST_SPARGES, plan_problems
from gristwright.stages.wash.limits import MOST_READINGS, between_problems
from gristwright.workbench.faults import plant_field, told
from gristwright.workbench.fields import WordsField
from gristwright.workbench.record_form import RecordForm, Section, label_of, path_of, record_fields, value_at
from gristwright.workbench.sections import with_every_field

GAP = "Empty beside what is given. Fill it in, or empty what stands beside and after it."
WHERE = at("plant")
# So many can be filled in at once; a house that has as many or more gets room for another.
USUAL = {"rests": 6, "sparges": 2, "decoctions": 2, "course": 8}
MOST = {"sparges": MOST_SPARGES, "course": MOST_READINGS}
# The part of the house that a list stands in, where that is not the mash.
HOLDS = {"course": "washbacks", "months": "washbacks"}
STILLS = {"pot stills": "pot_stills", "column and doubler": "column", "none": ""}
COUNTRY = "country"
SECOND = "mash-cooker-second_species"
# What follows from the liquor, and is forgotten where it is given anew.
SETTLED = "mash-settled_mash_degC"
BY_LIQUOR = (SETTLED, "mash-waters-1-settled_degC")
MONTHLY = ("washbacks", "months")


def second_help() -> str:
    """Which raw grain is cooked from the start, and which only where it is ticked."""
    *most, last = sorted(cooked_first())
    cooked = f"{', '.join(most)} and {last}"
    said = f"{cooked} are cooked from the start, other raw grain goes in on the way down; tick what shall too."
    return said.capitalize()


def country_field(asked: forms.Field, kept: str) -> forms.ChoiceField:
    """A country chosen by name; a code of a file that no table has stays on offer."""
    known = [(code, f"{name} ({code})") for code, name in places()]
    also = [(kept, kept)] if kept and kept not in dict(known) else []
    return forms.ChoiceField(label=asked.label, choices=[("", "not chosen"), *also, *known], required=False)


def _mash(*names: str) -> tuple[str, ...]:
    return tuple(f"mash-{name}" for name in names)


def _numbered(part: str, count: int, *names: str) -> tuple[str, ...]:
    holder = HOLDS.get(part, "mash")
    return tuple(f"{holder}-{part}-{n}-{name}" for n in range(1, count + 1) for name in names)


# The fields of one of a list.
KINDS = {"rests": Rest, "sparges": Sparge, "decoctions": Decoction, "course": WashReading}
ONE = {part: record_fields(kind) for part, kind in KINDS.items()}
# Of each month what its row asks; the row says which month it is.
OF_MONTHS = _numbered("months", len(MONTHS), *(name for name in record_fields(WashMonth) if name != "month"))


def _list_of(part: str) -> tuple[str, ...]:
    return _numbered(part, USUAL[part], *ONE[part])


def _of(part: str, kind: type) -> tuple[str, ...]:
    return tuple(f"{part}-{name}" for name in record_fields(kind))


def _more(document: Mapping[str, Any], part: str) -> tuple[str, tuple[str, ...]]:
    """The last usual field of a list, and those that stand behind it for a house with as many or more."""
    holder, own, usual = HOLDS.get(part, "mash"), ONE[part], USUAL[part]
    has = len(value_at(document, (holder, part)) or ())
    room = min(max(usual, has + 1), max(has, MOST.get(part, has + 1), usual))
    return f"{holder}-{part}-{usual}-{own[-1]}", _numbered(part, room, *own)[len(own) * usual :]


def _washbacks(*names: str) -> tuple[str, ...]:
    return tuple(f"washbacks-{name}" for name in names)


def month_label(name: str) -> str:
    """The label of a field of a month, by its row; nothing for any other field."""
    path = path_of(name)
    if path[:2] != MONTHLY:
        return ""
    label = label_of(WashMonth, path[3:])
    return f"{MONTHS[int(path[2]) - 1]}, {label[:1].lower()}{label[1:]}"


class HouseForm(RecordForm):
    """The house. A mash temperature left empty follows from the liquor or from the rests."""

    record = Plant
    stills = forms.ChoiceField(label="Stills", choices=[(word, word) for word in STILLS])
    pairs = ("Waters", "Rests", "Room and water by month")
    threes = ("Sparges", "Decoctions")
    rows = ("Measured course",)
    folded = ("Yeast and cooling", "Measured course", "Room and water by month")
    sections = (
        ("The house", "", (
            "name", "country", "kind", "one_distillery", "tonnes_per_year", "enzymes", "ferment_agents",
            "wort_boiled")),
        ("Mash", "Settled mash is what the thermometer shows after mixing, not the liquor before.", _mash(
            "kg_per_mash", "wort_L_per_t", "settled_mash_degC", "liquor_degC", "liquor_L_per_kg", "stand_min",
            "grist_degC", "mash_pH", "pH_aim", "gum_enzyme", "model")),
        ("Vessel and mill", "", _mash(
            "vessel", "vessel_L", "vessel_loss_K", "plate_area_m2", "chambers_L", "usual_run_off_hours", "mill_gap_mm",
            "bag_kg", "silo_kg", "rounding_pct")),
        ("Waters", "For wort drawn off in waters. None given: the usual ones are worked out.", (
            *_numbered("waters", len(WATERS), "L_per_kg", "settled_degC"),
            *_mash("later_stand_min", "run_off_min", "waters_to_washback"))),
        ("Rests", "For a mash brought from rest to rest and run off after the last; it has no waters then.", (
            *_list_of("rests"), *_mash("ramp_K_per_min", "rest_liquor_degC"))),
        ("Sparges", "Behind the first wort of a mash with rests. None given: what the wort lacks is worked out.",
            _list_of("sparges")),
        ("Decoctions", "A part of the mash boiled apart, which brings the mash from one rest to the next.",
            _list_of("decoctions")),
        ("Raw grain", "For a house that cooks raw grain: slurry, cook, second grain, malt, in that order.", _mash(
            "cook_degC", "premalt_pct", "backset_pct", "cooker-slurry_degC", "cooker-cook_min", "cooker-second_degC",
            "cooker-second_min", "cooker-malt_min", "cooker-second_species")),
        ("Analysis of the liquor", "Both or neither: they move the pH of the mash against each other.", _mash(
            "calcium_mg_per_L", "alkalinity_mg_per_L")),
        ("Washbacks", "", _washbacks("count", "volume_L", "hours", "set_degC", "cooling")),
        ("Yeast and cooling", "What is left empty is taken as each field says.", _washbacks(
            "yeast", "pitch_million_per_mL", "viability_pct", "room_degC", "cooling_m2", "water_degC",
            "cooled_from_degC", "ceiling_degC", "wall", "bacteria")),
        ("Measured course", "A fermentation of the present bill, in order of time: the pace is moved to it.",
            _list_of("course")),
        ("Room and water by month", "For the peak of every month of the year.", OF_MONTHS),
        ("Stills", "Fill in the pots or the column, whichever this spirit runs through.", (
            "stills", *_of("pot_stills", PotStills), *_of("column", ColumnDoubler))),
    )  # fmt: skip

    def __init__(self, data: Any = None, *, document: Mapping[str, Any]) -> None:
        super().__init__(data, document=document)
        self.fields[COUNTRY] = country_field(self.fields[COUNTRY], str(self.initial.get(COUNTRY) or ""))
        self.fields[SECOND] = WordsField(
            label=self.fields[SECOND].label,
            required=False,
            choices=[(name, name) for name in kept_raw()],
            help_text=second_help(),
        )
        for name, asked in self.fields.items():
            asked.label = month_label(name) or asked.label

    @classmethod
    def label_for(cls, name: str) -> str:
        """The label of a field; a month by its name."""
        return month_label(name) or super().label_for(name)

    @classmethod
    def sections_for(cls, document: Mapping[str, Any]) -> Sequence[Section]:
        """Room for every rest, sparge and decoction that the house has, and one more."""
        more = dict(_more(document, part) for part in USUAL)
        return [
            (legend, note, [n for name in names for n in (name, *more.get(name, ()))])
            for legend, note, names in with_every_field(Plant, cls.sections)
        ]

    @classmethod
    def shown(cls, document: Mapping[str, Any]) -> dict[str, Any]:
        """What the fields show; a settled temperature that only follows is left empty."""
        values = super().shown(document)
        kept = next((word for word, part in STILLS.items() if part in document), "none")
        stated = value_at(document, path_of(SETTLED))
        said = {one["month"]: one for one in value_at(document, MONTHLY) or ()}
        rows = {name: value_at(said.get(path_of(name)[2]), path_of(name)[3:]) for name in OF_MONTHS}
        return {**values, **rows, "stills": kept if document else "pot stills", SETTLED: stated}

    @property
    def document(self) -> dict[str, Any]:
        """The house as it was sent; a cooker is there once anything is said of it."""
        tree = super().document
        kept = STILLS.get(self.cleaned_data.get("stills", ""), "")
        for part in ("pot_stills", "column"):
            said = tree.pop(part, {})
            if part == kept:
                tree[part] = said
        for part in ("mash", "washbacks"):
            tree.setdefault(part, {})
        mash = tree["mash"]
        if self.cleaned_data.get(SETTLED) is not None:
            mash["settled_mash_degC"] = self.cleaned_data[SETTLED]  # the usual one too, for else it may follow
        self._name_months(tree["washbacks"])
        for name, water in zip(WATERS, mash.get("waters", ()), strict=False):
            water["name"] = name
        return tree

    def _name_months(self, washbacks: dict[str, Any]) -> None:
        """Rows of months that say something, each with its month, in the order in which they were kept."""
        rows = [{"month": number, **one} for number, one in enumerate(washbacks.pop("months", ()), start=1) if one]
        kept = [one["month"] for one in value_at(self.before, MONTHLY) or ()]
        rows.sort(key=lambda one: (kept.index(one["month"]) if one["month"] in kept else len(kept), one["month"]))
        if rows:
            washbacks["months"] = rows
        self.months = [one["month"] for one in rows]

    def clean(self) -> dict[str, Any]:
        """Every fault of the house beside its field; what is not filled in yet is none, but for a gap in a list."""
        said: dict[str, Any] = self.cleaned_data
        if said.get("mash-liquor_degC") is not None:
            said |= {name: None for name in BY_LIQUOR if name not in self.changed_data}
        problems: list[Problem] = []
        plant = plant_of(self._read(), WHERE, problems)
        for problem in problems:
            self._tell(problem)
        unusual = plan_problems(plant.mash, WHERE.to("mash"), plant.grain_in)
        for problem in unusual + between_problems(plant.washbacks, WHERE.to("washbacks"), plant.wort_boiled):
            if problem.warning:
                self.remarks.append(self.words(f"{label_of(Plant, problem.address.path[1:])}: {told(problem)}"))
        if plant.mash.liquor_degC is not None and not self.errors:
            settles = f"the mash settles at {plant.mash.settled_mash_degC:.1f} °C."
            self.remarks.append(f"With liquor of {plant.mash.liquor_degC:g} °C {settles}")
        return said

    def _read(self) -> dict[str, Any]:
        """The document with no number where one could not be read, so that the rest can be looked at together."""
        for name in self.errors:
            field = field_at(Plant, path_of(name))
            if field is not None and isinstance(field.said, Number):
                self.cleaned_data[name] = NOT_READ
        document = self.document
        for name in self.errors:
            self.cleaned_data.pop(name, None)
        return document

    def _tell(self, problem: Problem) -> None:
        """A fault beside its field, unless the field has one of its own or has only not been filled in yet."""
        path: FieldPath = problem.address.path[1:]
        if path[:2] == MONTHLY and len(path) > 2:
            path = (*MONTHLY, self.months[int(path[2]) - 1], *path[3:])
        name = plant_field(path)
        missing = problem.what == MISSING
        if name in self.errors or (missing and not any(isinstance(part, int) for part in path)):
            return
        self.add_error(name if name in self.fields else None, GAP if missing else self.words(told(problem)))

    def words(self, text: str) -> str:
        """A sentence in the words of the house."""
        return text
