"""A record that goes into the tables comes out as it was, whatever it holds."""

from __future__ import annotations

import dataclasses
import datetime as dt
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction

from casework.full import claiming
from gristwright.basics import Address, Refused, Standing, at
from gristwright.records.cask import LaterStay
from gristwright.records.enquiry import Enquiry, Group, Limits, Offered
from gristwright.records.fields import FieldOfRecord, Number, fields_of
from gristwright.records.give_gain import ReleasePrices
from gristwright.records.lot import Analysis, Lot
from gristwright.records.plant import ColumnDoubler, CookerPlan, PlantRecord, PotStills, Rest, Water
from gristwright.records.washbacks import Washbacks, WashMonth, WashReading
from gristwright.store import frozen
from gristwright.store.library import lot_records, save_lots
from gristwright.store.mapping import enquiry_record, save_enquiry
from gristwright.store.models import Answer, Job
from gristwright.store.models import EnquiryRow as Row
from scenario import enquiry, lots
from versions import plant

pytestmark = pytest.mark.django_db


def other(field: FieldOfRecord, value: Any) -> Any:
    """Another value that the field allows, so that one nobody wrote shows."""
    if isinstance(field.said, Number):
        step = 1 if isinstance(value, int) else (field.said.most - value) / 64.0
        return value + step
    if field.options:
        return next(word for word in reversed(field.options) if word != value)
    if isinstance(value, bool):
        return not value
    if isinstance(value, int | float):
        return value + 1
    if isinstance(value, Standing):
        return Standing.ESTIMATE
    if isinstance(value, str):
        return value + "x"
    if isinstance(value, dt.date):
        return value + dt.timedelta(1)
    return (*value, value[0]) if isinstance(value, tuple) and value and field.item is None else value


# What would make the mash one that cannot be run, and what the search of beer is refused for.
KEPT = ("premalt_pct", "purpose", "kind", "month_degC", "month_humidity", "cooker")


def altered(part: Any) -> Any:
    """A record with every plain field changed, and its records within too."""
    said = fields_of(type(part))
    changed = {}
    for name, field in said.items():
        value = getattr(part, name)
        if dataclasses.is_dataclass(value):
            changed[name] = altered(value)
        elif name not in KEPT and value is not None:
            changed[name] = other(field, value)
    return dataclasses.replace(part, **changed)


MASH = {
    "waters": (Water("first", 4.0, 64.0), Water("second", 1.5, 75.0), Water("third", 2.0, 85.0)),
    "mash_pH": 5.4, "pH_aim": 5.3,
    "plate_area_m2": 4.0, "usual_run_off_hours": 3.0, "mill_gap_mm": 1.0, "stand_min": 60.0, "vessel_L": 20_000.0,
    "calcium_mg_per_L": 60.0, "alkalinity_mg_per_L": 90.0,
}  # fmt: skip
WASHBACKS = Washbacks(
    7, 13_000.0, 70.0, 21.0, "jacket", "ale", 12.5, 95.0, 17.0, 4.5, 11.0, 31.0, 33.0, "wood", "clean",
    (WashReading(0.0, 1.055, 21.0), WashReading(14.5, degC=27.5), WashReading(30.0, 1.012)),
    tuple(WashMonth(month, 9.5 + month, None if month == 2 else 6.5 + month) for month in (6, 2, 7)),
)  # fmt: skip


def full() -> Enquiry:
    """An enquiry in which everything that may be left out, and can stand together, is said."""
    asked = enquiry()
    return dataclasses.replace(
        asked,
        plant=dataclasses.replace(asked.plant, mash=dataclasses.replace(asked.plant.mash, **MASH), washbacks=WASHBACKS),
        offered=tuple(dataclasses.replace(o, for_character=True) for o in asked.offered),
        limits=Limits(350.0, 3.5, 7.0, 1.08),
        cask=dataclasses.replace(asked.cask, excise_warehouse=True),
        release=ReleasePrices(40.0, 115.0, 3.0, 12.0, 6.0, 1.5, 2.5, 1.2, 2.1),
        claim=dataclasses.replace(claiming().claim, count=("gallic acid",), model="monotone"),
    )


def there_and_back(asked: Enquiry) -> Enquiry:
    return enquiry_record(Row.objects.get(pk=save_enquiry(asked, ()).pk))


@pytest.mark.parametrize("asked", [enquiry(), full()], ids=["the example", "everything said"])
def test_an_enquiry_comes_back_as_it_was(asked: Enquiry) -> None:
    assert there_and_back(asked) == asked


def test_every_field_has_a_column_of_its_own() -> None:
    asked = altered(full())
    assert isinstance(asked, Enquiry)
    assert asked.plant.mash.vessel != full().plant.mash.vessel
    assert there_and_back(asked) == asked


@pytest.mark.parametrize(
    ("pots", "column"),
    [(None, ColumnDoubler(500.0, 61.0, 69.0)), (PotStills(4000.0, 3000.0, 23.0), None)],
)
def test_stills_come_back_as_they_were(pots: PotStills | None, column: ColumnDoubler | None) -> None:
    asked = enquiry()
    asked = dataclasses.replace(asked, plant=dataclasses.replace(asked.plant, pot_stills=pots, column=column))
    assert there_and_back(asked) == asked


def mashed(asked: Enquiry, **parts: object) -> Enquiry:
    plant = asked.plant
    return dataclasses.replace(asked, plant=dataclasses.replace(plant, mash=dataclasses.replace(plant.mash, **parts)))


@pytest.mark.parametrize(
    "rests",
    [
        (),
        (Rest(64.0, 60.0),),
        (Rest(52.0, 9.0), Rest(64.0, 9.0), Rest(70.0, 40.0)),
        tuple(Rest(50.0 + 4 * n, 10.0 * n) for n in range(7)),
    ],
)
@pytest.mark.parametrize("stated", [True, False])
def test_rests_come_back_in_their_order(rests: tuple[Rest, ...], stated: bool) -> None:
    settled = rests[-1].settled_degC if rests and not stated else rests[len(rests) // 2].settled_degC if rests else 64.0
    asked = mashed(enquiry(), rests=rests, settled_mash_degC=settled)
    assert there_and_back(asked) == asked


@pytest.mark.parametrize("cooker", [None, CookerPlan(), CookerPlan(cook_min=0.0, second_species=("rye", "wheat"))])
def test_a_cooker_is_there_once_anything_is_said_of_it(cooker: CookerPlan | None) -> None:
    asked = mashed(enquiry(), cook_degC=95.0, cooker=cooker)
    assert there_and_back(asked) == asked


def test_what_is_not_said_of_a_cooker_is_as_usual() -> None:
    row = save_enquiry(mashed(enquiry(), cook_degC=95.0), ())
    plant(row, "mash", "cooker", value={"malt_min": 45.0})
    assert enquiry_record(row).plant.mash.cooker == CookerPlan(malt_min=45.0)


def test_markets_and_casks_behind_the_first() -> None:
    plan = dataclasses.replace(
        enquiry().laid_down, stays=(LaterStay(0.5, "steel", 900.0, country="FR"),), one_season=True
    )
    asked = dataclasses.replace(enquiry(), markets=("DE", "US"), cask=plan)
    assert there_and_back(asked) == asked


def test_no_record_no_limits_no_groups() -> None:
    asked = dataclasses.replace(enquiry(), record=None, limits=Limits(), groups=(), categories=())
    assert there_and_back(asked) == asked


def test_no_prices_no_claim_and_prices_that_are_partly_said() -> None:
    bare = dataclasses.replace(enquiry(), release=None, claim=None)
    assert there_and_back(bare) == bare
    partly = dataclasses.replace(bare, release=ReleasePrices(cask_price=90.0))
    assert there_and_back(partly) == partly


def test_one_end_of_the_evaporation_is_told() -> None:
    row = save_enquiry(dataclasses.replace(enquiry(), release=ReleasePrices(evaporation_low_pct_per_year=2.0)), lots())
    with pytest.raises(
        Refused, match=r"release, evaporation_high_pct_per_year: is missing. Give low and high, or neither"
    ):
        enquiry_record(row)


def test_lots_come_back_as_they_were() -> None:
    row = save_enquiry(enquiry(), lots())
    assert lot_records(row) == lots()


def test_lots_that_cannot_be_kept_leave_those_before() -> None:
    row = save_enquiry(enquiry(), lots())
    analysis = Analysis("moisture_pct", 4.5, "%", "", "", Standing.MEASURED, Address("lots.csv", row=2))
    twice = (Lot("A", "pale_distilling_malt", analyses=(analysis,)), Lot("A", "caramel_malt_dark"))
    with pytest.raises(ValueError, match="two lots of one name"), transaction.atomic():
        save_lots(row, twice)
    assert lot_records(row) == lots()


def test_an_enquiry_is_kept_whole_or_not_at_all() -> None:
    double = dataclasses.replace(enquiry(), offered=(Offered("A", 1.0, 0, 10), Offered("A", 2.0, 0, 10)))
    with pytest.raises(IntegrityError), transaction.atomic():
        save_enquiry(double, lots())
    assert not Row.objects.exists()


def test_what_is_missing_is_said_all_at_once() -> None:
    row = save_enquiry(enquiry(), lots())
    plant(row, "mash", "kg_per_mash", value=None)
    plant(row, "pot_stills", "wash_charge_L", value=None)
    plant(row, "mash", "waters", value=[{"name": "first", "settled_degC": 64.0}])
    row.record_mashes = None
    row.save()
    with pytest.raises(Refused) as refused:
        enquiry_record(row)
    places = [problem.where for problem in refused.value.problems]
    wanted = [("mash", "kg_per_mash"), ("mash", "waters", 1, "L_per_kg"), ("pot_stills", "wash_charge_L")]
    assert places == [*(at("plant", *path) for path in wanted), at("present", "record")]


def test_groups_and_offers_keep_their_order() -> None:
    groups = (Group("z", ("CM-300",), 0, 900), Group("a", ("CM-120", "PD-1"), 100, 10_000))
    assert there_and_back(dataclasses.replace(enquiry(), groups=groups)).groups == groups


def test_an_answer_is_written_once() -> None:
    row = save_enquiry(enquiry(), lots())
    text = frozen.inputs_text(enquiry(), lots())
    answer = Answer(enquiry=row, job=Job.objects.create(enquiry=row), inputs=text, view="{}")
    answer.save()
    answer.view = '{"changed": true}'
    with pytest.raises(TypeError, match="frozen"):
        answer.save()


def test_equal_inputs_have_one_fingerprint_and_others_another() -> None:
    row = save_enquiry(enquiry(), lots())
    same = frozen.inputs_text(enquiry_record(row), lot_records(row))
    assert same == frozen.inputs_text(enquiry(), lots())
    cheaper = dataclasses.replace(enquiry(), processing_cost_per_t=309.0)
    assert frozen.sha256(frozen.inputs_text(cheaper, lots())) != frozen.sha256(same)


def test_the_record_of_the_plant_keeps_its_numbers() -> None:
    record = PlantRecord(391.123456789, 4.5000001, 46)
    assert there_and_back(dataclasses.replace(enquiry(), record=record)).record == record


def test_the_tables_are_those_of_the_models(capsys: pytest.CaptureFixture[str]) -> None:
    from django.core.management import call_command

    call_command("makemigrations", "store", check=True, dry_run=True)
    assert "No changes" in capsys.readouterr().out
    assert connection.vendor == "sqlite"
