"""Files people write and files we write: TOML and CSV in, JSON out, never half a file. See docs/files.md."""
