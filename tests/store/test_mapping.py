"""A record that goes into the tables comes out as it was, whatever it holds."""

from __future__ import annotations

import dataclasses
import datetime as dt

import pytest
from django.db import IntegrityError, connection, transaction

from casework.full import claiming
from gristwright.basics import Address, Refused, Standing, at
from gristwright.records.ageing import ClaimAsked
from gristwright.records.cask import CaskKind, Climate
from gristwright.records.enquiry import CaskPlan, Enquiry, Group, Limits, Offered
from gristwright.records.give_gain import ReleasePrices
from gristwright.records.lot import Analysis, Lot
from gristwright.records.plant import (
    ColumnDoubler,
    CookerPlan,
    MashPlan,
    Plant,
    PlantRecord,
    PotStills,
    Rest,
    Washbacks,
    Water,
)
from gristwright.store import frozen
from gristwright.store.mapping import enquiry_record, lot_records, save_enquiry, save_lots
from gristwright.store.models import Answer, Job
from gristwright.store.models import EnquiryRow as Row
from scenario import enquiry, lots

pytestmark = pytest.mark.django_db

PATHS = (
    (Enquiry, ()),
    (Plant, ("plant",)),
    (MashPlan, ("plant", "mash")),
    (CookerPlan, ("plant", "mash", "cooker")),
    (Washbacks, ("plant", "washbacks")),
    (CaskPlan, ("cask",)),
    (CaskKind, ("cask", "kind")),
    (Climate, ("cask", "climate")),
    (ReleasePrices, ("release",)),
    (ClaimAsked, ("claim",)),
)


def other(value: object) -> object:
    """Another value of the same type, so that a column nobody wrote shows."""
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
    return (
        (*value, value[0]) if isinstance(value, tuple) and value and not dataclasses.is_dataclass(value[0]) else value
    )


def altered(part: object) -> object:
    """A record with every plain field changed, and its records within too."""
    if not dataclasses.is_dataclass(part) or isinstance(part, type):
        return other(part)
    return dataclasses.replace(part, **{f.name: altered(getattr(part, f.name)) for f in dataclasses.fields(part)})


PARTS = {
    "waters": (Water("first", 4.0, 64.0), Water("second", 1.5, 75.0)),
    "rests": (Rest(52.0, 10.0), Rest(64.0, 45.0), Rest(72.0, 0.0)),
    "cooker": CookerPlan(25.0, 45.0, ("rye",), 78.0, 15.0, 35.0),
}


def full() -> Enquiry:
    """An enquiry in which everything that may be left out is said; such a mash could not be run."""
    asked = enquiry()
    mash = dataclasses.replace(
        asked.plant.mash,
        **{f.name: 5.5 for f in dataclasses.fields(MashPlan) if getattr(asked.plant.mash, f.name) is None} | PARTS,
    )
    return dataclasses.replace(
        asked,
        plant=dataclasses.replace(asked.plant, mash=mash),
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
    assert asked.plant.mash.cooker != full().plant.mash.cooker
    assert there_and_back(asked) == asked


@pytest.mark.parametrize(("kind", "path"), PATHS, ids=lambda part: getattr(part, "__name__", ""))
def test_a_field_alone_is_not_lost(kind: type, path: tuple[str, ...]) -> None:
    part: object = full()
    for name in path:
        part = getattr(part, name)
    assert isinstance(part, kind)
    assert all(getattr(part, f.name) is not None for f in dataclasses.fields(part) if f.name != "column")


@pytest.mark.parametrize(
    ("pots", "column"),
    [(None, ColumnDoubler(500.0, 61.0, 69.0)), (PotStills(4000.0, 3000.0, 23.0), None), (None, None)],
)
def test_stills_come_back_as_they_were(pots: PotStills | None, column: ColumnDoubler | None) -> None:
    asked = enquiry()
    asked = dataclasses.replace(asked, plant=dataclasses.replace(asked.plant, pot_stills=pots, column=column))
    assert there_and_back(asked) == asked


def mashed(asked: Enquiry, **parts: object) -> Enquiry:
    plant = asked.plant
    return dataclasses.replace(asked, plant=dataclasses.replace(plant, mash=dataclasses.replace(plant.mash, **parts)))


@pytest.mark.parametrize("rests", [(), (Rest(64.0, 60.0),), tuple(Rest(50.0 + n, 10.0 * n) for n in range(6))])
def test_rests_come_back_in_their_order(rests: tuple[Rest, ...]) -> None:
    asked = mashed(enquiry(), rests=rests)
    assert there_and_back(asked) == asked


@pytest.mark.parametrize("cooker", [None, CookerPlan(), CookerPlan(cook_min=0.0, second_species=("rye", "wheat"))])
def test_a_cooker_is_there_once_anything_is_said_of_it(cooker: CookerPlan | None) -> None:
    asked = mashed(enquiry(), cook_degC=95.0, cooker=cooker)
    assert there_and_back(asked) == asked


def test_what_is_not_said_of_a_cooker_is_as_usual() -> None:
    row = save_enquiry(enquiry(), ())
    row.house.cooker_malt_min = 45.0
    row.house.save()
    assert enquiry_record(row).plant.mash.cooker == CookerPlan(malt_min=45.0)


def test_more_rests_than_the_desk_keeps_are_refused() -> None:
    with pytest.raises(Refused, match="7 are more than the 6 that the desk keeps"):
        save_enquiry(mashed(enquiry(), rests=tuple(Rest(60.0 + n, 5.0) for n in range(7))), ())
    assert not Row.objects.exists()


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
    with pytest.raises(IntegrityError), transaction.atomic():
        save_lots(row, twice)
    assert lot_records(row) == lots()


def test_an_enquiry_is_kept_whole_or_not_at_all() -> None:
    double = dataclasses.replace(enquiry(), offered=(Offered("A", 1.0, 0, 10), Offered("A", 2.0, 0, 10)))
    with pytest.raises(IntegrityError), transaction.atomic():
        save_enquiry(double, lots())
    assert not Row.objects.exists()


def test_what_is_missing_is_said_all_at_once() -> None:
    row = save_enquiry(enquiry(), lots())
    row.house.kg_per_mash, row.house.wash_charge_L, row.house.water_second_degC = None, None, 70.0
    row.house.rest_2_degC, row.house.rest_2_min = 72.0, 20.0
    row.house.save()
    row.record_mashes = None
    row.save()
    with pytest.raises(Refused) as refused:
        enquiry_record(row)
    places = [problem.where for problem in refused.value.problems]
    wanted = ["kg_per_mash", "wash_charge_L", "waters", "rests"]
    assert places == [*(at("house", field) for field in wanted), at("present", "record")]


def test_groups_and_offers_keep_their_order() -> None:
    groups = (Group("z", ("CM-300",), 0, 900), Group("a", ("CM-120", "PD-1"), 100, 10_000))
    assert there_and_back(dataclasses.replace(enquiry(), groups=groups)).groups == groups


def test_an_answer_is_written_once() -> None:
    row = save_enquiry(enquiry(), lots())
    text = frozen.inputs_text(enquiry(), lots())
    answer = Answer(enquiry=row, job=Job.objects.create(enquiry=row), inputs=text, view="{}", pdf=b"%PDF")
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
