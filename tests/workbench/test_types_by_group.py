"""The chooser of types: every type once, in groups short enough to read, a wheat malt never among those of barley."""

from __future__ import annotations

from gristwright.stages.grist.materials import materials
from gristwright.workbench.explaining import type_choices
from gristwright.workbench.lot_form import types_by_group


def test_every_type_stands_once_in_a_group_that_can_be_read() -> None:
    groups = dict(types_by_group())
    assert sorted(key for lines in groups.values() for key, _ in lines) == sorted(materials())
    assert max(len(lines) for lines in groups.values()) <= 12
    assert {key for key, _ in groups["Husks"]} == {key for key, one in materials().items() if one.husk}
    assert {materials()[key].species for key, _ in groups["Malt of barley"]} == {"barley"}
    assert "barley" not in {materials()[key].species for key, _ in groups["Malt of other grain"]}


def test_the_three_nearest_stand_before_the_groups() -> None:
    """An invented name of a maker."""
    (name, nearest), *groups = type_choices("Moorfeuer Weizenmalz")
    assert name == "Nearest" and len(nearest) == 3
    assert {materials()[key].species for key, _ in nearest} == {"wheat"}
    assert groups == types_by_group()
    assert type_choices("Moorfeuer") == types_by_group()
