"""The stages of the process, one room each; they are joined only in flowsheet/. See docs/house.md."""
