"""A remedy changes what it says it changes, and says what it gains."""

from __future__ import annotations

import pytest

from gristwright.records.plant import Rest
from gristwright.records.remedies import Alteration, Gain, Remedy, sentence_of
from houses import tun


def test_a_change_of_the_house_is_of_its_fields() -> None:
    rests = (Rest(43.0, 30.0), Rest(64.0, 60.0))
    changed = Alteration(plant=(("mash.vessel", "filter"), ("mash.rests", rests), ("enzymes", "added natural"))).of(
        tun()
    )
    assert (changed.mash.vessel, changed.mash.rests, changed.enzymes) == ("filter", rests, "added natural")
    assert changed.washbacks == tun().washbacks
    with pytest.raises(KeyError, match=r"mash\.colour|colour"):
        Alteration(plant=(("mash.colour", 1),)).of(tun())


def test_a_remedy_says_its_gain_and_its_law() -> None:
    one = Remedy("x", "take a filter", Gain(0.9, 0.1, 30.0, 4.0, "h"), "No law speaks of it.", asks="It costs money.")
    assert one.sentence == (
        "Take a filter: 4.0 h, not 30.0; out of order in 10 % of the runs, not 90 %. "
        "It costs money. No law speaks of it."
    )
    never = Gain(1.0, 0.2, None, 4.0, "h")
    assert never.words == "4.0 h; out of order in 20 % of the runs, not 100 %"
    assert sentence_of((), "Change the bill.") == "Change the bill." and sentence_of((one,)) == one.sentence
