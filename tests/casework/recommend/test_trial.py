"""Trial size against the reference library."""

import pytest
from scipy import stats

from gristwright.casework.recommend.trial import mashes_each


@pytest.mark.parametrize(("difference", "sd"), [(3.0, 4.5), (4.0, 4.0), (2.5, 3.0)])
def test_power_is_about_four_in_five(difference, sd):
    """Normal power of a one-sided test of two means at 5 % (scipy.stats.norm)."""
    n = mashes_each(difference, sd)
    power = stats.norm.cdf(difference / (sd * (2.0 / n) ** 0.5) - stats.norm.ppf(0.95))
    assert 0.80 <= power < 0.87


def test_never_fewer_than_four_nor_more_than_forty():
    assert mashes_each(50.0, 1.0) == 4
    assert mashes_each(0.1, 5.0) == 40
    assert mashes_each(0.0, 5.0) == 40
