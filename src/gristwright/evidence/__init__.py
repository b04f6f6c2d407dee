"""What trials and panels prove: rooms that never import each other. See docs/ageing.md."""
