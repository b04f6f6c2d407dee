"""Views: each says its verb. See docs/desk.md."""
