"""A recommendation as one JSON view and as the PDF printed from it. See docs/documents.md."""
