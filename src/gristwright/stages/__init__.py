"""The stages of the process, one room each; they are joined only in flowsheet.py. See docs/house.md."""
