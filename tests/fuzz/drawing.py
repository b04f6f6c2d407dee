"""How edits are drawn: hypothesis chooses, and makes what failed as small as it can be."""

from __future__ import annotations

from collections.abc import Sequence

from hypothesis import strategies as st

from fuzz.hostile import EDITS, OF_BYTES, USUAL, VALUES, Edit

PLACES = st.integers(0, 2000)
# Anything that may be typed, half a pair apart, which no browser and no file sends.
TYPED = st.text(st.characters(exclude_categories=("Cs",)), max_size=12).map(lambda text: (text, 1))
PLAIN = st.floats(-1e4, 1e4, allow_nan=False, width=32).map(lambda x: (f"{x:.6g}", 1))
ONE_VALUE: st.SearchStrategy[tuple[str, int]] = st.one_of(st.sampled_from(VALUES), PLAIN, TYPED)


def edits(kinds: Sequence[str] = tuple(EDITS), most: int = 4) -> st.SearchStrategy[list[Edit]]:
    """One edit or several, the usual ones half of the time."""
    usual = [kind for kind in USUAL if kind in kinds]
    chosen = st.one_of(st.sampled_from(usual), st.sampled_from(list(kinds))) if usual else st.sampled_from(list(kinds))
    return st.lists(st.tuples(chosen, PLACES, PLACES, ONE_VALUE), min_size=1, max_size=most)


def raw_edits(most: int = 4) -> st.SearchStrategy[list[Edit]]:
    """Edits of a file that is no text."""
    return edits(OF_BYTES, most)
