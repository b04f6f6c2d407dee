"""The still: ethanol-water equilibrium, pot runs, the balance of double distillation. See docs/still.md."""
