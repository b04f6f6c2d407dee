"""Cautions are data and can be asked for by topic."""

from __future__ import annotations

import pytest

from gristwright.basics import Refused
from gristwright.rules.hazard import cautions, topics


def test_every_topic_has_its_caution() -> None:
    assert topics() == ("planning", "spirit", "co2", "dust", "liquor", "licence", "label", "panel")
    assert all(caution.title and caution.text.endswith(".") and caution.source for caution in cautions())


def test_cautions_come_in_the_order_asked() -> None:
    assert [caution.topic for caution in cautions("dust", "planning")] == ["dust", "planning"]


def test_a_topic_without_a_caution_is_refused() -> None:
    with pytest.raises(Refused, match='no caution on "lightning"'):
        cautions("lightning")
