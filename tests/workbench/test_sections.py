"""Every field of a record has a place on its form, whether a section names it or not."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any

from gristwright.basics import FieldPath
from gristwright.records.enquiry import CaskPlan
from gristwright.records.fields import Described, Number, fields_of
from gristwright.records.plant import Plant
from gristwright.workbench.cask_form import CaskForm
from gristwright.workbench.house_form import HouseForm
from gristwright.workbench.record_form import name_of
from gristwright.workbench.sections import with_every_field

# The name of a water and of a month is its place on the form; what lies in a store comes with the name of the store.
NOT_ASKED = {
    "mash-waters-1-name",
    "washbacks-months-1-month",
    "climate-month_degC",
    "climate-month_humidity",
    "climate-source",
    "climate-standing",
}


@dataclass(frozen=True)
class Step:
    """An invented part."""

    warm: Annotated[float, Number("Warm", "degC", 0.0, 100.0)]
    stirred: Annotated[float, Number("Stirred", "1/min", 0.0, 100.0)]


@dataclass(frozen=True)
class Whole:
    """An invented record."""

    name: Annotated[str, Described("Name")]
    first: Annotated[float, Number("First", "L", 0.0, 1.0)]
    steps: Annotated[tuple[Step, ...], Described("Steps")]
    later: Annotated[float, Number("Later", "L", 0.0, 1.0)]
    last: Annotated[float, Number("Last", "L", 0.0, 1.0)]


def leaves(kind: Any, path: FieldPath = ()) -> Iterator[FieldPath]:
    """Every field of a record and of the records in it that holds no record itself; of a list the first item."""
    for name, field in fields_of(kind).items():
        here = (*path, name)
        if field.item:
            yield from leaves(field.item, (*here, 1) if field.several else here)
        else:
            yield here


def named(names: list[str]) -> list[str]:
    [(_, _, found)] = with_every_field(Whole, [("All", "", names)])
    return list(found)


def test_a_field_that_no_section_names_stands_behind_the_one_before_it() -> None:
    assert named(["first", "name", "last"]) == ["first", "later", "name", "last"]


def test_an_item_of_a_list_gets_its_field_each_time() -> None:
    both = ["name", "first", "later", "last", "steps-1-warm", "steps-2-warm"]
    assert named(both) == [*both[:5], "steps-1-stirred", "steps-2-warm", "steps-2-stirred"]


def test_fields_of_the_form_alone_stay_where_they_are() -> None:
    assert named(["name", "first", "later", "last", "chosen"])[-1] == "chosen"


def test_every_setting_of_a_house_and_of_a_cask_is_on_its_form() -> None:
    for kind, form in ((Plant, HouseForm), (CaskPlan, CaskForm)):
        asked = {name for _, _, names in form.sections_for({}) for name in names} | NOT_ASKED
        assert {name_of(path) for path in leaves(kind)} - asked == set()
