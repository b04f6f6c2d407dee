"""A name that is none leads to those that were meant, each once."""

from __future__ import annotations

from gristwright.reference.near_types import types_of
from gristwright.reference.spelling import MOST_LISTED, nearest, one_of


def test_each_name_once_and_none_far_less_like_it() -> None:
    assert nearest("barell", ["barrel", "barrique", "Barrel"]) == ["barrel"]
    assert one_of("barell", ["barrel", "Barrel", "butt"]) == "Did you mean 'barrel'?"
    assert nearest("sd_lpa_per_ton", ["sd_lpa_per_t", "mean_lpa_per_t"]) == ["sd_lpa_per_t"]


def test_a_title_stands_beside_a_key_and_leads_to_it() -> None:
    titles = {"US_BOURBON": "Bourbon whisky", "EU_WHISKY": "Whisky"}
    assert one_of("bourbon", list(titles), titles=titles) == "Did you mean 'US_BOURBON' (Bourbon whisky)?"
    assert one_of("xyz", list(titles), titles=titles) == "Use one of: EU_WHISKY (Whisky), US_BOURBON (Bourbon whisky)."


def test_a_long_list_is_not_told_whole() -> None:
    told = one_of("zz", [f"name{n:02}" for n in range(MOST_LISTED + 1)])
    assert told.startswith("Of 13 the nearest are ") and told.count("name") == 3


def test_every_type_of_a_grain_or_a_way_of_making_is_found() -> None:
    rye = types_of("rye")
    assert {"rye_malt", "raw_rye", "caramel_rye_malt", "roasted_rye_malt", "flaked_rye"} <= set(rye)
    assert not any("rye" not in key for key in rye)
    assert {"caramel_malt_light", "caramel_rye_malt"} <= set(types_of("caramel"))
    assert types_of("Zaubermalz") == []
