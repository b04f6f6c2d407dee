"""Raw grain by its starch."""

import numpy as np
import pytest

from gristwright.quantities.gravity import ETHANOL_20C_kg_m3
from gristwright.stages.grist.model import STARCH_L_PER_KG
from gristwright.stages.grist.raw_grain import efficiency, efficiency_name

DRAWS = {efficiency_name(species): np.array([0.9]) for species in ("maize", "wheat", "rye", "barley")}


def test_starch_at_theory():
    """0.56825 g ethanol from 1 g starch: 720.0 L/t at 0.78924 kg/L (stoichiometry)."""
    assert pytest.approx(720.0, abs=0.1) == 1000.0 * STARCH_L_PER_KG
    assert pytest.approx(0.56825 / (ETHANOL_20C_kg_m3 / 1000.0), rel=1e-12) == STARCH_L_PER_KG


def test_maize_wants_the_hot_cooker_and_wheat_the_cool_one():
    """441.7 and 463.7 L/t for maize at 85 and 142 degC, 457.7 and 447.8 for wheat: Green et al. 2015, J. Inst. Brew.
    121:332 (seen in a secondary text). The slopes were fitted to these, so this is a fit and no validation."""
    for species, hot, cool in (("maize", 463.7, 441.7), ("wheat", 447.8, 457.7)):
        ratio = efficiency(species, 142.0, DRAWS) / efficiency(species, 85.0, DRAWS)
        assert ratio[0] == pytest.approx(hot / cool, rel=1e-9)


def test_nothing_is_extrapolated_beyond_what_was_measured():
    assert efficiency("maize", 160.0, DRAWS) == efficiency("maize", 142.0, DRAWS)
    assert efficiency("maize", None, DRAWS) == efficiency("maize", 85.0, DRAWS)


def test_rye_at_the_published_efficiency():
    """621 g starch a kg at 86.6 % gives 387 L/t: Balcerek et al. 2015, doi 10.1007/s00217-015-2542-7."""
    assert pytest.approx(387.0, abs=0.5) == 1000.0 * 0.621 * STARCH_L_PER_KG * 0.866
