"""The only floor that knows the order of the stages. See docs/flowsheet.md."""
