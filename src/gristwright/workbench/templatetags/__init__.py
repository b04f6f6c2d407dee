"""Words the templates use."""
