"""The age a reference ladder of casks gives back for markers measured elsewhere. See docs/ageing.md."""
