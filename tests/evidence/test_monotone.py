"""The curve through the rungs only rises, or only falls; rungs out of order are pooled by how many casks they have."""

import numpy as np
import pytest

from gristwright.evidence.ageing.monotone import _curves

AGES = np.array([3.0, 3.0, 6.0, 8.0, 8.0, 8.0, 12.0])
RUNGS = np.array([3.0, 6.0, 8.0, 12.0])
# One cask of 6 years stands above the mean, 2.0, of three of 8 years: (1 x 3.0 + 3 x 2.0) / 4, by hand.
VALUES = np.array([0.5, 1.5, 3.0, 1.8, 2.0, 2.2, 4.0])


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_rungs_out_of_order_are_pooled_by_their_casks(sign):
    curve = _curves(AGES, sign * VALUES[:, None], RUNGS)[:, 0]
    assert sign * curve == pytest.approx([1.0, 2.25, 2.25, 4.0], abs=1e-12)


def test_the_curve_never_turns():
    grid = np.linspace(3.0, 12.0, 200)
    assert np.all(np.diff(_curves(AGES, VALUES[:, None], grid)[:, 0]) >= -1e-12)
