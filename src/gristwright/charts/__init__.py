"""Records become plain Vega-Lite dicts, drawn alike on paper and on the screen. See docs/documents.md."""
