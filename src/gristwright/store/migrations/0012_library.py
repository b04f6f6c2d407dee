"""Customers, houses and lots get rows of their own, to which enquiries point; a lot's certificates become documents."""

from __future__ import annotations

import hashlib
import json
import uuid
from typing import Any

import django.db.models.deletion
import django.utils.timezone
import simple_history.models
from django.conf import settings
from django.db import migrations, models

OF_ANALYSIS = ("field", "value", "unit", "basis", "method", "standing", "where")
CASCADE, PROTECT = django.db.models.deletion.CASCADE, django.db.models.deletion.PROTECT
NOTHING, SET_NULL = django.db.models.deletion.DO_NOTHING, django.db.models.deletion.SET_NULL


def forward(apps: Any, schema_editor: Any) -> None:
    """Every enquiry with its customer, a house of its own, and its lots by name."""
    for enquiry in apps.get_model("store", "EnquiryRow").objects.iterator():
        point_at_customer(apps, enquiry)
        give_house(apps, enquiry)
        names = name_lots(apps, enquiry)
        for kind in ("OfferedLot", "BillShare"):
            for row in apps.get_model("store", kind).objects.filter(enquiry_id=enquiry.pk):
                row.named_id = names[row.lot_id]
                row.save(update_fields=["named"])
            for row in apps.get_model("store", f"Historical{kind}").objects.filter(enquiry_id=enquiry.pk):
                row.named_id = names[row.lot_id]
                row.save(update_fields=["named"])
        for kind in ("LotGroup", "HistoricalLotGroup"):
            for row in apps.get_model("store", kind).objects.filter(enquiry_id=enquiry.pk):
                row.keys = [str(names[name]) for name in row.lot_ids]
                row.save(update_fields=["keys"])
    customers: dict[str, Any] = {}
    for told in apps.get_model("store", "HistoricalEnquiryRow").objects.exclude(customer_name="").iterator():
        known = customers.get(told.customer_name) or customer_of(apps, told.customer_name)
        customers[told.customer_name] = known
        told.customer_id = known.pk
        told.save(update_fields=["customer"])


def customer_of(apps: Any, name: str) -> Any:
    return apps.get_model("store", "Customer").objects.get_or_create(name=name)[0]


def point_at_customer(apps: Any, enquiry: Any) -> None:
    if enquiry.customer_name:
        enquiry.customer = customer_of(apps, enquiry.customer_name)
        enquiry.save(update_fields=["customer"])


def give_house(apps: Any, enquiry: Any) -> None:
    """The versions of the house of an enquiry belong to a house of their own; the enquiry stands on the last."""
    versions = list(apps.get_model("store", "PlantVersion").objects.filter(enquiry_id=enquiry.pk).order_by("number"))
    if not versions:
        return
    house = apps.get_model("store", "House").objects.create(owner_id=enquiry.owner_id)
    for version in versions:
        version.house = house
        version.save(update_fields=["house"])
    enquiry.plant = versions[-1]
    enquiry.save(update_fields=["plant"])


def name_lots(apps: Any, enquiry: Any) -> dict[str, Any]:
    """The key of every name that an enquiry has or had for a lot; what it has now points at a certificate."""
    named = apps.get_model("store", "NamedLot")
    keys: dict[str, Any] = {}
    for place, lot in enumerate(apps.get_model("store", "LotRow").objects.filter(enquiry_id=enquiry.pk)):
        version = version_of(apps, lot)
        keys[lot.lot_id] = named.objects.create(enquiry=enquiry, name=lot.lot_id, place=place, version=version).pk
    now, gone = names_spoken_of(apps, enquiry)
    for name in [name for name in now if name not in keys]:
        keys[name] = named.objects.create(enquiry=enquiry, name=name, place=len(keys)).pk
    for name in [name for name in gone if name not in keys]:
        keys[name] = uuid.uuid4()
        tell_gone(apps, enquiry, name, keys[name])
    return keys


def names_spoken_of(apps: Any, enquiry: Any) -> tuple[list[str], list[str]]:
    """The names of lots that offers, groups and shares use, and those that only their history knows."""
    found: dict[str, dict[str, None]] = {"": {}, "Historical": {}}
    for which, names in found.items():
        for kind in ("OfferedLot", "BillShare"):
            rows = apps.get_model("store", f"{which}{kind}").objects.filter(enquiry_id=enquiry.pk)
            names.update(dict.fromkeys(rows.values_list("lot_id", flat=True)))
        for lot_ids in (
            apps.get_model("store", f"{which}LotGroup")
            .objects.filter(enquiry_id=enquiry.pk)
            .values_list("lot_ids", flat=True)
        ):
            names.update(dict.fromkeys(lot_ids))
    return list(found[""]), list(found["Historical"])


def tell_gone(apps: Any, enquiry: Any, name: str, key: uuid.UUID) -> None:
    """The history of a name that is used no more, so that what is told of it can name it."""
    apps.get_model("store", "HistoricalNamedLot").objects.create(
        id=key, enquiry_id=enquiry.pk, name=name, place=0, history_type="-", history_date=enquiry.made_at
    )


def version_of(apps: Any, lot: Any) -> Any:
    """What a certificate says of a lot, once for all enquiries."""
    document = document_of(apps, lot)
    text = json.dumps(document, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)
    digest = hashlib.sha256(text.encode()).hexdigest()
    versions = apps.get_model("store", "LotVersion").objects
    kept = versions.filter(digest=digest).first()
    if kept is not None:
        return kept
    rows = apps.get_model("store", "LotKnown").objects
    key = identity_key(lot)
    row = rows.filter(key=key).first() if key else None
    row = row or rows.create(key=key, supplier=lot.supplier, lot_number=lot.lot_number, crop=lot.crop)
    number = versions.filter(lot=row).count() + 1
    return versions.create(lot=row, number=number, digest=digest, document=document)


def document_of(apps: Any, lot: Any) -> dict[str, Any]:
    rows = apps.get_model("store", "AnalysisRow").objects.filter(lot_id=lot.pk).order_by("place", "id")
    said = {name: getattr(lot, name) for name in ("material", "supplier", "lot_number", "crop", "certificate")}
    where = {"where": lot.where or {}}
    return {**said, **where, "analyses": [{name: getattr(row, name) for name in OF_ANALYSIS} for row in rows]}


def identity_key(lot: Any) -> str | None:
    if not lot.lot_number:
        return None
    return "|".join(" ".join(part.split()).casefold() for part in (lot.supplier, lot.lot_number, str(lot.crop or "")))


def backward(apps: Any, schema_editor: Any) -> None:
    """Every enquiry with lots, house and customer of its own."""
    for enquiry in apps.get_model("store", "EnquiryRow").objects.select_related("customer", "plant").iterator():
        enquiry.customer_name = enquiry.customer.name if enquiry.customer else ""
        enquiry.save(update_fields=["customer_name"])
        if enquiry.plant_id:
            own_house(apps, enquiry)
        own_lots(apps, enquiry)
    customers = dict(apps.get_model("store", "Customer").objects.values_list("pk", "name"))
    for told in apps.get_model("store", "HistoricalEnquiryRow").objects.exclude(customer_id=None).iterator():
        told.customer_name = customers.get(told.customer_id, "")
        told.save(update_fields=["customer_name"])
    apps.get_model("store", "PlantVersion").objects.filter(enquiry=None).delete()


def own_house(apps: Any, enquiry: Any) -> None:
    """The versions up to the one an enquiry stands on; a house of several enquiries is written once for each."""
    versions = apps.get_model("store", "PlantVersion").objects
    kept = list(versions.filter(house_id=enquiry.plant.house_id, number__lte=enquiry.plant.number).order_by("number"))
    for number, version in enumerate(kept, start=1):
        if version.enquiry_id is not None:
            version.pk = None
            version.house_id = None
        version.enquiry_id, version.number = enquiry.pk, number
        version.save()


def own_lots(apps: Any, enquiry: Any) -> None:
    """Every name with its certificate as a lot of the enquiry, and offers, groups and shares by name."""
    names: dict[Any, str] = {}
    told = apps.get_model("store", "HistoricalNamedLot").objects.filter(enquiry_id=enquiry.pk)
    names.update(told.values_list("id", "name"))
    for named in apps.get_model("store", "NamedLot").objects.filter(enquiry_id=enquiry.pk).select_related("version"):
        names[named.pk] = named.name
        if named.version is not None:
            own_lot(apps, enquiry, named)
    for kind in ("OfferedLot", "BillShare", "HistoricalOfferedLot", "HistoricalBillShare"):
        for row in apps.get_model("store", kind).objects.filter(enquiry_id=enquiry.pk):
            row.lot_id = names.get(row.named_id, "")
            row.save(update_fields=["lot_id"])
    for kind in ("LotGroup", "HistoricalLotGroup"):
        for row in apps.get_model("store", kind).objects.filter(enquiry_id=enquiry.pk):
            row.lot_ids = [names[uuid.UUID(key)] for key in row.keys if uuid.UUID(key) in names]
            row.save(update_fields=["lot_ids"])


def own_lot(apps: Any, enquiry: Any, named: Any) -> None:
    document = named.version.document
    analyses = document["analyses"]
    said = {name: value for name, value in document.items() if name != "analyses"}
    row = apps.get_model("store", "LotRow").objects.create(
        enquiry_id=enquiry.pk, place=named.place, lot_id=named.name, **said
    )
    for place, one in enumerate(analyses):
        apps.get_model("store", "AnalysisRow").objects.create(lot_id=row.pk, place=place, **one)


def key_field() -> Any:
    return models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)


def to(model: str, on_delete: Any = CASCADE, **more: Any) -> Any:
    return models.ForeignKey(on_delete=on_delete, to=model, **more)


def told(model: str) -> Any:
    """What the history keeps of a foreign key: it may point at what is gone."""
    return to(model, NOTHING, blank=True, null=True, db_constraint=False, related_name="+")


def historical(name: str, verbose: str, plural: str, fields: list[Any]) -> Any:
    """A table of history."""
    kinds = [("+", "Created"), ("~", "Changed"), ("-", "Deleted")]
    return migrations.CreateModel(
        name=name,
        fields=[
            *fields,
            ("history_id", models.AutoField(primary_key=True, serialize=False)),
            ("history_date", models.DateTimeField(db_index=True)),
            ("history_change_reason", models.CharField(max_length=100, null=True)),
            ("history_type", models.CharField(choices=kinds, max_length=1)),
            ("history_user", to(settings.AUTH_USER_MODEL, SET_NULL, null=True, related_name="+")),
        ],
        options={
            "verbose_name": f"historical {verbose}",
            "verbose_name_plural": f"historical {plural}",
            "ordering": ("-history_date", "-history_id"),
            "get_latest_by": ("history_date", "history_id"),
        },
        bases=(simple_history.models.HistoricalChanges, models.Model),
    )


def one(fields: tuple[str, ...], name: str) -> Any:
    return models.UniqueConstraint(fields=fields, name=name)


BIG = models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")
NAMES: list[tuple[str, Any]] = [
    ("place", models.PositiveIntegerField(default=0)),
    ("name", models.CharField(default="", max_length=80)),
]


class Migration(migrations.Migration):
    """Rows of customers, houses and lots, then what points at them, then away with what held them before."""

    dependencies = (
        ("store", "0011_answers_shown"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    )
    operations = (
        migrations.CreateModel(
            name="Customer",
            fields=[("id", key_field()), ("name", models.CharField(default="", max_length=200))],
            options={"ordering": ("name",)},
        ),
        migrations.AddConstraint("customer", one(("name",), "one_customer_a_name")),
        migrations.CreateModel(
            name="House",
            fields=[
                ("id", key_field()),
                ("owner", to(settings.AUTH_USER_MODEL, PROTECT, null=True, related_name="+")),
            ],
        ),
        migrations.CreateModel(
            name="LotKnown",
            fields=[
                ("id", key_field()),
                ("key", models.CharField(max_length=500, null=True)),
                ("supplier", models.CharField(default="", max_length=200)),
                ("lot_number", models.CharField(default="", max_length=200)),
                ("crop", models.IntegerField(null=True)),
            ],
            options={"db_table": "store_lot_known"},
        ),
        migrations.AddConstraint("lotknown", one(("key",), "one_lot_an_identity")),
        migrations.CreateModel(
            name="LotVersion",
            fields=[
                ("id", BIG.clone()),
                ("number", models.PositiveIntegerField()),
                ("document", models.JSONField(default=dict)),
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
                ("digest", models.CharField(max_length=64, unique=True)),
                ("by", to(settings.AUTH_USER_MODEL, PROTECT, null=True, related_name="+")),
                ("lot", to("store.lotknown", related_name="versions")),
            ],
            options={"ordering": ("number",), "abstract": False},
        ),
        migrations.AddConstraint("lotversion", one(("lot", "number"), "one_version_a_lot")),
        migrations.RemoveConstraint("lotrow", "one_lot_a_name"),
        migrations.CreateModel(
            name="NamedLot",
            fields=[
                ("id", key_field()),
                *NAMES,
                ("enquiry", to("store.enquiryrow", related_name="named")),
                ("version", to("store.lotversion", PROTECT, null=True, related_name="uses")),
            ],
            options={"ordering": ("place", "name")},
        ),
        migrations.AddConstraint("namedlot", one(("enquiry", "name"), "one_lot_a_name")),
        historical(
            "HistoricalNamedLot",
            "named lot",
            "named lots",
            [
                ("id", models.UUIDField(db_index=True, default=uuid.uuid4, editable=False)),
                *[(name, field.clone()) for name, field in NAMES],
                ("enquiry", told("store.enquiryrow")),
                ("version", told("store.lotversion")),
            ],
        ),
        *(migrations.RenameField(kind, "customer", "customer_name") for kind in ("enquiryrow", "historicalenquiryrow")),
        migrations.AddField(
            "enquiryrow", "customer", to("store.customer", PROTECT, blank=True, null=True, related_name="enquiries")
        ),
        migrations.AddField("historicalenquiryrow", "customer", told("store.customer")),
        migrations.AddField(
            "enquiryrow", "plant", to("store.plantversion", PROTECT, blank=True, null=True, related_name="enquiries")
        ),
        migrations.AddField("plantversion", "house", to("store.house", null=True, related_name="versions")),
        migrations.RemoveConstraint("plantversion", "one_plant_a_number"),
        migrations.AlterField("plantversion", "enquiry", to("store.enquiryrow", null=True, related_name="plants")),
        *(
            operation
            for kind, name, many in (
                ("offeredlot", "one_offer_a_lot", "offers"),
                ("billshare", "one_share_a_lot", "shares"),
            )
            for operation in (
                migrations.RemoveConstraint(kind, name),
                migrations.AddField(kind, "named", to("store.namedlot", null=True, related_name=many)),
                migrations.AddField(f"historical{kind}", "named", told("store.namedlot")),
            )
        ),
        *(
            migrations.AddField(kind, "keys", models.JSONField(default=list))
            for kind in ("lotgroup", "historicallotgroup")
        ),
        migrations.RunPython(forward, backward),
        *(
            operation
            for kind, name, many in (
                ("offeredlot", "one_offer_a_lot", "offers"),
                ("billshare", "one_share_a_lot", "shares"),
            )
            for operation in (
                migrations.RemoveField(kind, "lot_id"),
                migrations.RemoveField(f"historical{kind}", "lot_id"),
                migrations.AlterField(kind, "named", to("store.namedlot", related_name=many)),
                migrations.AddConstraint(kind, one(("enquiry", "named"), name)),
            )
        ),
        *(migrations.RemoveField(kind, "lot_ids") for kind in ("lotgroup", "historicallotgroup")),
        *(migrations.RemoveField(kind, "customer_name") for kind in ("enquiryrow", "historicalenquiryrow")),
        migrations.RemoveField("plantversion", "enquiry"),
        migrations.AlterField("plantversion", "house", to("store.house", related_name="versions")),
        migrations.AddConstraint("plantversion", one(("house", "number"), "one_plant_a_number")),
        migrations.DeleteModel("AnalysisRow"),
        migrations.DeleteModel("LotRow"),
        migrations.RenameModel("LotKnown", "LotRow"),
    )
