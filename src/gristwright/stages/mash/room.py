"""Room that grain takes in a mash. See docs/mash.md."""

# Room taken by undissolved grain [L/kg]; brewing handbooks, from memory.
SOLIDS_L_PER_KG = 0.67
