"""Extract, fermentability and predicted spirit yield of malt, dry and as-is. See docs/quantities.md."""

from __future__ import annotations

from typing import Final

import numpy as np

from gristwright.quantities.bounds import N, as_given, refuse_outside

# Apparent to real attenuation of laboratory wort, in percent. IoB Recommended Method 2.15; re-measured 81.46 (n = 52).
FERMENTABILITY_FACTOR: Final = 81.4
# L of pure alcohol per tonne and per cent of fermentable extract. Bringhurst et al. 1996, J. Inst. Brew. 102:433-437.
PSY_FACTOR: Final = 6.06
SAME_MASH_L_DEG_PER_PCT: Final = 3.86
# Ratio of IoB extract (0.7 mm, L deg/kg) to Congress extract (0.2 mm, %) on two specifications that print both.
PAIRED_L_DEG_PER_PCT: Final = 3.776
PROTEIN_PER_NITROGEN: Final = 6.25


def as_is_pct(dry_pct: N, moisture_pct: float | N) -> N:
    """A share on dry matter [%] as it stands in the lot, at a moisture [%]. Raises Refused beyond 0..99 %."""
    refuse_outside("moisture", moisture_pct, 0.0, 99.0, "%", "Give g water per 100 g as is.")
    return as_given(np.asarray(dry_pct) * (100.0 - np.asarray(moisture_pct)) / 100.0, dry_pct)


def dry_pct(as_is_pct: N, moisture_pct: float | N) -> N:
    """A share of the lot as is [%] on its dry matter, at a moisture [%]. Raises Refused beyond 0..99 %."""
    refuse_outside("moisture", moisture_pct, 0.0, 99.0, "%", "Give g water per 100 g as is.")
    return as_given(np.asarray(as_is_pct) * 100.0 / (100.0 - np.asarray(moisture_pct)), as_is_pct)


def extract_pct_from_l_deg_kg(l_deg_kg: N) -> N:
    """Extract [%] of the *same mash* from litre degrees per kilogram [L deg/kg]: divided by 3.86 (from memory).

    It is not the Congress extract: see `congress_extract_pct`.
    """
    return l_deg_kg / SAME_MASH_L_DEG_PER_PCT


def l_deg_kg_from_extract_pct(extract_pct: N) -> N:
    """Litre degrees per kilogram [L deg/kg] of the *same mash* from its extract [%]: times 3.86 (from memory)."""
    return extract_pct * SAME_MASH_L_DEG_PER_PCT


def congress_extract_pct(iob_l_deg_kg: N) -> N:
    """Congress extract (0.2 mm) [%] to expect of a pale malt with this IoB extract (0.7 mm, 65 degC) [L deg/kg].

    Ratio 3.776 from two specifications printing both; a roasted malt showed 3.571, so not for those. Standing: derived.
    """
    return iob_l_deg_kg / PAIRED_L_DEG_PER_PCT


def fermentability_pct(og_degrees: N, pg_degrees: float | N) -> N:
    """Fermentability [%] of unboiled laboratory wort from OG and limit PG [excise degrees]: 81.4 (OG - PG)/(OG - 1000).

    IoB Recommended Method 2.15 and 2.16. Raises Refused when OG is not above 1000 or PG is above OG.
    """
    way_out = "Give gravities as 1000 x SG, such as 1030.5."
    refuse_outside("OG", og_degrees, 1000.1, 1140.0, "excise degrees", way_out)
    lost = np.asarray(og_degrees) - np.asarray(pg_degrees)
    refuse_outside("OG - PG", lost, 0.0, 170.0, "excise degrees", "PG cannot be above OG.")
    return as_given(FERMENTABILITY_FACTOR * lost / (np.asarray(og_degrees) - 1000.0), og_degrees)


def fermentable_extract_pct(extract_pct: N, fermentability_pct: float | N) -> N:
    """Fermentable extract [%, on the basis of the extract]: extract x fermentability / 100. Dolan 1983.

    The citation is from memory.
    """
    return as_given(np.asarray(extract_pct) * np.asarray(fermentability_pct) / 100.0, extract_pct)


def psy_lpa_per_t(fermentable_extract_pct: N) -> N:
    """Predicted spirit yield [LPA per tonne, on the basis of the extract]: 6.06 x fermentable extract [%].

    Bringhurst et al. 1996, J. Inst. Brew. 102:433-437. A malt figure that already holds the loss of fermentation; never
    for cooked raw grain.
    """
    return PSY_FACTOR * fermentable_extract_pct


def fermentable_extract_for_psy_pct(psy_lpa_per_t: N) -> N:
    """Fermentable extract [%] a predicted spirit yield [LPA/t] asks for."""
    return psy_lpa_per_t / PSY_FACTOR


def protein_pct(nitrogen_pct: N) -> N:
    """Protein [%] from nitrogen [%], same basis: times 6.25, the usual convention for malt."""
    return PROTEIN_PER_NITROGEN * nitrogen_pct


def nitrogen_pct(protein_pct: N) -> N:
    """Nitrogen [%] from protein [%], same basis: divided by 6.25."""
    return protein_pct / PROTEIN_PER_NITROGEN
