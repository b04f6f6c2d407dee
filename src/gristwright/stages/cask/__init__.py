"""What a cask loses in its store, and at what strength it comes out. See docs/cask.md."""
