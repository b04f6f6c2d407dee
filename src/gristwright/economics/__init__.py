"""Money: what a litre of new spirit costs in malt and processing. See docs/economics.md."""
