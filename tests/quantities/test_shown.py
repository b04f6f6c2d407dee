"""How numbers are written."""

import pytest

from gristwright.basics import Band
from gristwright.quantities.shown import interval, plain, signed, significant, with_interval


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [
        (392.14, 1, "392.1"),
        (-0.5, 1, "\u22120.5"),
        (-0.04, 1, "0.0"),
        (9999.0, 0, "9999"),
        (9999.7, 0, "10\u202f000"),
        (1035320.0, 0, "1\u202f035\u202f320"),
        (float("nan"), 1, "\u2013"),
        (float("inf"), 1, "\u2013"),
    ],
)
def test_a_number_has_fixed_decimals_a_true_minus_and_thin_spaces(value: float, decimals: int, text: str) -> None:
    assert plain(value, decimals) == text


def test_a_difference_always_shows_its_sign() -> None:
    assert (signed(3.1, 1), signed(-3.1, 1), signed(0.04, 1)) == ("+3.1", "\u22123.1", "0.0")


def test_a_band_reads_middle_low_to_high() -> None:
    assert with_interval(Band(385.0, 392.1, 398.9), 1) == "392.1 (385.0 to 398.9)"
    assert interval(Band(-0.4, 3.1, 6.6), 1, difference=True) == "\u22120.4 to +6.6"


def test_a_band_without_width_is_said_once() -> None:
    assert with_interval(Band(5.0, 5.0, 5.0), 1) == "5.0"


@pytest.mark.parametrize(
    ("value", "text"), [(0.0, "0"), (0.0123456, "0.0123"), (77.4, "77.4"), (182.0, "182"), (12345.0, "12\u202f345")]
)
def test_an_input_is_written_to_three_significant_digits(value: float, text: str) -> None:
    assert significant(value) == text
