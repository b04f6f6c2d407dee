"""What the law allows a spirit to be called, and the cautions shown where work can hurt. See docs/law.md."""
