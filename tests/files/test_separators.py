"""One function says what separates the columns, for certificates, ledgers, climates and rates alike."""

import pytest

from gristwright.files.separators import separator


@pytest.mark.parametrize("mark", [",", ";", "\t", "|"])
def test_every_separator_is_found(mark):
    assert separator("\n".join(mark.join(row) for row in (["store", "month"], ["A", "1"], ["B", "2"]))) == mark


def test_a_decimal_comma_is_no_separator():
    assert separator("from_years;value_per_lpa;currency\n0;4,50;EUR\n3;9,25;EUR\n12;30;EUR\n") == ";"


def test_commas_in_a_heading_or_a_note_do_not_outweigh_the_lines():
    assert separator("a, b, c, d;litres\nA;1\nB, C;2\nD;3\n") == ";"


def test_a_heading_alone_is_enough():
    assert separator("store,month,degC") == ","
