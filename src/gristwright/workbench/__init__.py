"""The desk: the same jobs in a browser on this machine. See docs/desk.md."""
