"""Numbers, not trade: draws from priors, weights, roots, fixed-step integration, dominance. See docs/numbers.md."""
