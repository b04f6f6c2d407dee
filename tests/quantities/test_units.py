"""Text with units at the edge: what is read, and what is refused because it can be read two ways."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gristwright.basics import Refused
from gristwright.quantities import conversion, units


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("317 degWK", 317.0, "degWK"),
        ("317WK", 317.0, "degWK"),
        ("45,5 °Lintner", 45.5, "degLintner"),
        ("308 L°/kg", 308.0, "L_deg_kg"),
        ("-4,5 °C", -4.5, "degC"),
        ("63.5 %vol", 63.5, "abv_pct"),
        ("1.0602 SG", 1.0602, "SG"),
        (" 12 °P ", 12.0, "degP"),
        ("2e3 kg", 2000.0, "kg"),
    ],
)
def test_quantities_are_read(text: str, value: float, unit: str) -> None:
    quantity = units.parse_quantity(text)
    assert (quantity.value, quantity.unit.name) == (value, unit)


@pytest.mark.parametrize("text", ["317 L", "317 l", "317 °L", "317 degL", "317L"])
@pytest.mark.parametrize("kind", [None, "diastatic power", "colour", "volume"])
def test_a_bare_L_is_refused_with_its_readings(text: str, kind: str | None) -> None:
    with pytest.raises(Refused) as refused:
        units.parse_quantity(text, kind)
    sentence = refused.value.problems[0].sentence()
    assert all(reading in sentence for reading in ("degLintner", "degLovibond", "litre"))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("317", "the number stands alone"),
        ("degWK", "does not begin with a number"),
        ("317 degXK", "is not known"),
        ("40 proof", "us_proof.* or .*uk_proof"),
        ("150 IoB", "degIoB.* or .*IoB_colour"),
        ("1,000 kg", "may be a thousand or a decimal comma"),
        ("1.000,5 kg", "is not a number"),
    ],
)
def test_what_cannot_be_read_is_refused(text: str, words: str) -> None:
    with pytest.raises(Refused, match=words):
        units.parse_quantity(text)


def test_the_field_settles_a_name_with_two_readings() -> None:
    assert units.parse_quantity("150 IoB", "diastatic power").unit.name == "degIoB"
    assert units.parse_quantity("150 IoB", "colour").unit.name == "IoB_colour"
    with pytest.raises(Refused, match="measures diastatic power or colour, not mass"):
        units.find_unit("IoB", "mass")


def test_number_and_unit_are_refused_at_once() -> None:
    with pytest.raises(Refused) as refused:
        units.parse_quantity("1,000 L")
    assert len(refused.value.problems) == 2


def test_every_unit_reads_its_own_name_and_has_a_step() -> None:
    for unit in units.unit_names():
        assert units.find_unit(unit.name) is unit
        assert unit.kind == "diastatic power" or unit.name in conversion.STEPS


@given(st.sampled_from(conversion.kinds()), st.floats(20.0, 60.0), st.data())
def test_every_pair_of_a_kind_round_trips(kind: str, value: float, data: st.DataObject) -> None:
    names = st.sampled_from(conversion.convertible(kind))
    start, end = data.draw(names), data.draw(names)
    if kind == "gravity":
        start, value = "degP", value / 4.0
    there = conversion.convert(value, start, end)
    assert conversion.convert(there.value, end, start).value == pytest.approx(value, rel=1e-8)
    assert there.low <= there.value <= there.high
    assert math.isfinite(there.value)


def test_different_kinds_do_not_convert() -> None:
    with pytest.raises(Refused, match="degWK measures diastatic power and EBC measures colour"):
        conversion.convert(300.0, "degWK", "EBC")


def test_less_than_nothing_is_refused() -> None:
    with pytest.raises(Refused, match="less than nothing"):
        conversion.convert(0.3, "degLovibond", "EBC")
    with pytest.raises(Refused, match="diastatic power: -3 degWK"):
        conversion.convert(-3.0, "degWK", "degLintner")
