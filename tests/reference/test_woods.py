"""Woods by any name: one table for law, casks, plants and ladders."""

from __future__ import annotations

import pytest

from gristwright.reference import woods


@pytest.mark.parametrize(
    ("word", "wood"),
    [
        ("Oak", "oak"),
        ("  american   OAK ", "oak"),
        ("american_oak", "oak"),
        ("Oak (Quercus alba)", "oak"),
        ("Weißeiche", "oak"),
        ("europäische Eiche", "oak"),
        ("europaeische Eiche", "oak"),
        ("Edelstahl", "steel"),
        ("kirsche", "cherry"),
        ("oak (cherry)", None),
        ("mizunaro", None),
        ("", None),
    ],
)
def test_a_wood_is_found_by_its_names(word: str, wood: str | None) -> None:
    assert woods.wood_of(word) == wood


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("american oak", "oak", True),
        ("Quercus alba", "european oak", True),
        ("oak", "chestnut", False),
        ("mizunaro", "Mizunaro", True),
        ("mizunaro", "oak", False),
    ],
)
def test_woods_are_one_wood_to_the_law_by_the_table(one: str, other: str, same: bool) -> None:
    assert woods.same_wood(one, other) is same


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("american oak", "Quercus Alba", True),
        ("mizunara", "japanese oak", True),
        ("american oak", "european oak", False),
        ("american oak", "oak", False),
        ("wuud", "WUUD", True),
        ("wuud", "wood", False),
    ],
)
def test_kinds_of_oak_stay_apart_where_what_wood_gives_is_compared(one: str, other: str, same: bool) -> None:
    assert woods.same_kind(one, other) is same


def test_a_word_that_is_not_known_is_told_with_what_is_meant_and_what_is_accepted() -> None:
    assert woods.not_known("mizunaro", ["oak", "chestnut"]) == (
        '"mizunaro" is no wood known here (meant is mizunara?); accepted is oak, chestnut, by any name it goes under'
    )
    assert "meant" not in woods.not_known("wuud", ["oak"])
