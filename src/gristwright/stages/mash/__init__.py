"""Mash: how much of the laboratory's extract the tun brings into the wort, and how strong it is. See docs/mash.md."""
