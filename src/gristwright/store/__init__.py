"""What the desk keeps: columns for what people edit, frozen text for what was computed. See docs/desk.md."""
