"""House and cask become documents, one for each time they were kept, in the shape of a plant file."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import django.db.models.deletion
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models

FieldPath = tuple[str | int, ...]
WATERS = ("first", "second", "third", "fourth")
MASH = (
    "kg_per_mash", "wort_L_per_t", "settled_mash_degC", "mash_pH", "pH_aim", "cook_degC", "premalt_pct", "backset_pct",
    "plate_area_m2", "usual_run_off_hours", "grist_degC", "vessel_loss_K", "bag_kg", "silo_kg", "mill_gap_mm",
    "stand_min", "vessel", "vessel_L", "liquor_degC", "liquor_L_per_kg", "later_stand_min", "run_off_min",
    "waters_to_washback", "calcium_mg_per_L", "alkalinity_mg_per_L", "ramp_K_per_min",
)  # fmt: skip
COOKER = ("slurry_degC", "cook_min", "second_species", "second_degC", "second_min", "malt_min")
POTS = ("wash_charge_L", "spirit_charge_L", "low_wines_abv_pct", "charge_abv_pct", "heart_abv_pct")
COLUMN = ("beer_L_per_h", "head_abv_pct", "doubler_abv_pct")
KIND = ("capacity_L", "wall_mm", "wood", "fill_number", "charred", "prior_contents")
# Of each column of the house where it stands in the document.
OF_HOUSE: dict[str, FieldPath] = {
    **{name: (name,) for name in ("name", "kind", "country", "tonnes_per_year", "one_distillery", "wort_boiled",
                                  "enzymes", "ferment_agents")},
    **{name: ("mash", name) for name in MASH},
    **{f"cooker_{name}": ("mash", "cooker", name) for name in COOKER},
    **{f"water_{name}_L_per_kg": ("mash", "waters", n, "L_per_kg") for n, name in enumerate(WATERS, 1)},
    **{f"water_{name}_degC": ("mash", "waters", n, "settled_degC") for n, name in enumerate(WATERS, 1)},
    **{f"rest_{n}_degC": ("mash", "rests", n, "settled_degC") for n in range(1, 7)},
    **{f"rest_{n}_min": ("mash", "rests", n, "minutes") for n in range(1, 7)},
    "washbacks": ("washbacks", "count"), "washback_volume_L": ("washbacks", "volume_L"),
    "ferment_hours": ("washbacks", "hours"), "set_degC": ("washbacks", "set_degC"),
    "washback_cooling": ("washbacks", "cooling"),
    **{name: ("pot_stills", name) for name in POTS},
    **{name: ("column", name) for name in COLUMN},
}  # fmt: skip
OF_CASK: dict[str, FieldPath] = {
    "kind": ("kind", "name"), **{name: ("kind", name) for name in KIND},
    "climate": ("climate", "name"), "month_degC": ("climate", "month_degC"),
    "month_humidity": ("climate", "month_humidity"), "climate_source": ("climate", "source"),
    "climate_standing": ("climate", "standing"),
    **{name: (name,) for name in ("entry_abv_pct", "years", "bottle_abv_pct", "bottle_L", "first_month", "additions",
                                  "excise_warehouse")},
}  # fmt: skip
# What a record has when nothing is said, and a document leaves out.
USUAL: dict[str, Any] = {
    "one_distillery": True, "wort_boiled": False, "enzymes": "malt only", "ferment_agents": "yeast",
    "premalt_pct": 0.0, "backset_pct": 0.0, "grist_degC": 15.0, "vessel_loss_K": 0.0, "bag_kg": 25.0, "silo_kg": 5.0,
    "vessel": "tun", "later_stand_min": 20.0, "run_off_min": 40.0, "waters_to_washback": 2, "ramp_K_per_min": 1.0,
    "set_degC": 20.0, "low_wines_abv_pct": 22.0, "charge_abv_pct": 25.0, "heart_abv_pct": 69.0, "head_abv_pct": 60.0,
    "doubler_abv_pct": 68.0, "cooker_slurry_degC": 40.0, "cooker_cook_min": 30.0, "cooker_second_degC": 77.0,
    "cooker_second_min": 20.0, "cooker_malt_min": 30.0, "bottle_L": 0.7, "first_month": 1, "additions": ["water"],
    "settled_mash_degC": 64.0,
}  # fmt: skip
STILLS = {"pot stills": "pot_stills", "column and doubler": "column"}


def plant_document(row: Any) -> dict[str, Any]:
    """The columns of a house as a document; what follows from the liquor or the rests is not stated."""
    said = {name: getattr(row, name) for name in OF_HOUSE}
    tree: dict[str, Any] = {"mash": {}, "washbacks": {}}
    kept = STILLS.get(row.stills, "")
    if kept:
        tree[kept] = {}
    cooks = any(said[f"cooker_{name}"] not in (None, []) for name in COOKER)
    for name, path in OF_HOUSE.items():
        elsewhere = path[0] in STILLS.values() and path[0] != kept
        if said[name] not in (None, "", []) and said[name] != USUAL.get(name) and not elsewhere:
            put(tree, path, said[name])
    if cooks:
        tree["mash"].setdefault("cooker", {})
    for name, water in zip(WATERS, tree["mash"].get("waters", ()), strict=False):
        water["name"] = name
    forget_what_follows(tree["mash"])
    return tree


def forget_what_follows(mash: dict[str, Any]) -> None:
    """A settled temperature that the liquor or the longest rest makes was kept beside it."""
    rests = [rest for rest in mash.get("rests", ()) if 40.0 <= rest.get("settled_degC", 0.0) <= 78.0]
    by_rest = max(rests, key=lambda rest: rest.get("minutes", 0.0))["settled_degC"] if rests else None
    if "liquor_degC" in mash or (by_rest is not None and mash.get("settled_mash_degC", 64.0) == by_rest):
        mash.pop("settled_mash_degC", None)
    elif by_rest is not None:
        mash.setdefault("settled_mash_degC", 64.0)
    if "liquor_degC" in mash and mash.get("waters"):
        mash["waters"][0].pop("settled_degC", None)


def cask_document(row: Any) -> dict[str, Any]:
    """The columns of a cask as a document; a kind and a store say everything of themselves."""
    tree: dict[str, Any] = {}
    for name, path in OF_CASK.items():
        value = getattr(row, name)
        if value is None or (len(path) == 1 and value == USUAL.get(name)):
            continue
        put(tree, path, value)
    for part in ("kind", "climate"):
        if not tree.get(part, {}).get("name"):
            tree.pop(part, None)
    return tree


def put(tree: dict[str, Any], path: FieldPath, value: Any) -> None:
    """Put a value at its place; lists grow to hold it."""
    holder: Any = tree
    for part, after in pairwise(path):
        if isinstance(part, int):
            holder += [{} for _ in range(part - len(holder))]
            holder = holder[part - 1]
        else:
            holder = holder.setdefault(part, [] if isinstance(after, int) else {})
    holder[path[-1]] = value


def at(tree: Any, path: FieldPath) -> Any:
    """What stands at a path, None where nothing does."""
    for part in path:
        if isinstance(part, int):
            tree = tree[part - 1] if isinstance(tree, list) and part <= len(tree) else None
        else:
            tree = tree.get(part) if isinstance(tree, dict) else None
    return tree


def into_documents(apps: Any, schema_editor: Any) -> None:
    """Every state that the history knows becomes a version, the last one as the row stands now."""
    for old, history, new, made in (
        ("House", "HistoricalHouse", "PlantVersion", plant_document),
        ("Cask", "HistoricalCask", "CaskVersion", cask_document),
    ):
        version = apps.get_model("store", new)
        for row in apps.get_model("store", old).objects.iterator():
            number, last = 0, None
            for document, by, when in states(row, apps.get_model("store", history), made):
                if document != last:
                    number, last = number + 1, document
                    more = {"at": when} if when else {}
                    version.objects.create(
                        enquiry_id=row.enquiry_id, number=number, document=document, by_id=by, **more
                    )


def states(row: Any, history: Any, made: Any) -> Iterator[tuple[dict[str, Any], Any, Any]]:
    """The documents of a row from its history on, with who and when."""
    for told in history.objects.filter(id=row.pk).exclude(history_type="-").order_by("history_date", "history_id"):
        yield made(told), told.history_user_id, told.history_date
    yield made(row), None, None


def into_columns(apps: Any, schema_editor: Any) -> None:
    """The newest version of each as columns."""
    for old, new, places in (("House", "PlantVersion", OF_HOUSE), ("Cask", "CaskVersion", OF_CASK)):
        model = apps.get_model("store", old)
        newest: dict[Any, Any] = {}
        for version in apps.get_model("store", new).objects.order_by("number"):
            newest[version.enquiry_id] = version.document
        for enquiry, document in newest.items():
            values = {name: at(document, path) for name, path in places.items()}
            said = {name: value for name, value in values.items() if value is not None}
            if old == "House":
                said["stills"] = next((word for word, part in STILLS.items() if part in document), "none")
            model.objects.create(enquiry_id=enquiry, **{"additions": ["water"], **said} if old == "Cask" else said)


def version(name: str, related: str, constraint: str) -> list[Any]:
    """A table of versions of one document."""
    user = models.ForeignKey(
        null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
    )
    enquiry = models.ForeignKey(
        on_delete=django.db.models.deletion.CASCADE, related_name=related, to="store.enquiryrow"
    )
    return [
        migrations.CreateModel(
            name=name,
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("number", models.PositiveIntegerField()),
                ("document", models.JSONField(default=dict)),
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
                ("by", user),
                ("enquiry", enquiry),
            ],
            options={"ordering": ("number",), "abstract": False},
        ),
        migrations.AddConstraint(
            model_name=name.lower(),
            constraint=models.UniqueConstraint(fields=("enquiry", "number"), name=constraint),
        ),
    ]


class Migration(migrations.Migration):
    """Seventy columns become two tables of documents."""

    dependencies = (
        ("store", "0009_certificate_of_a_lot"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    )
    operations = (
        *version("PlantVersion", "plants", "one_plant_a_number"),
        *version("CaskVersion", "casks", "one_cask_a_number"),
        migrations.RunPython(into_documents, into_columns),
        *(migrations.DeleteModel(name) for name in ("HistoricalHouse", "HistoricalCask", "House", "Cask")),
    )
