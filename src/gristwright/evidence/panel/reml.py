"""The named model `reml`: the same mixed model where scores are missing, by restricted maximum likelihood.

Dense matrices: made for a panel's hundreds of scores. Crossed and nested random terms alike. See docs/ageing.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gristwright.basics import FloatArray

MOST_STEPS, MOST_HALVINGS, LEAST_REST = 200, 40, 1e-8


@dataclass(frozen=True)
class Mixed:
    """A fitted mixed model: fixed effects with covariance, variances of the random terms and the rest (last)."""

    fixed: FloatArray  # (p,)
    covariance: FloatArray  # (p, p)
    variances: FloatArray  # (terms + 1,)
    log_likelihood: float  # restricted
    _design: FloatArray
    _kernels: tuple[FloatArray, ...]

    def wald_F(self, rows: FloatArray) -> float:
        """F of the hypothesis that every row of `rows` (k, p) times the fixed effects is nothing."""
        value = rows @ self.fixed
        return float(value @ np.linalg.solve(rows @ self.covariance @ rows.T, value)) / len(rows)

    def freedom(self, row: FloatArray) -> float:
        """Satterthwaite's degrees of freedom of one contrast `row` (p,).

        Giesbrecht & Burns 1985, Biometrics 41, 477-486: 2 v^2 / (g' A g), with A twice the inverse information of the
        variances and g the slopes of v. Variances at nothing are left out.
        """
        alive = [k for k, value in enumerate(self.variances) if value > 0.0]
        inverse = np.linalg.inv(_total(self.variances, self._kernels))
        half = inverse @ self._design
        projector = inverse - half @ self.covariance @ half.T
        information = _information(projector, [self._kernels[k] for k in alive])
        weights = half @ self.covariance @ row
        slopes = np.array([weights @ self._kernels[k] @ weights for k in alive])
        v = float(row @ self.covariance @ row)
        return float(2.0 * v * v / (slopes @ np.linalg.solve(information, slopes)))


def kernel(labels: NDArray[np.int64]) -> FloatArray:
    """One where two scores share a label, else nothing; (n, n)."""
    return np.asarray(labels[:, None] == labels[None, :], dtype=np.float64)


def _total(variances: FloatArray, kernels: Sequence[FloatArray]) -> FloatArray:
    return np.asarray(sum(value * part for value, part in zip(variances, kernels, strict=True)))


def fit_mixed(scores: FloatArray, design: FloatArray, terms: Sequence[NDArray[np.int64]]) -> Mixed:
    """Fit scores (n,) on `design` (n, p) with one random term for each array of labels (n,).

    Patterson & Thompson 1971, Biometrika 58, 545-554; climbed by Fisher's scoring. Variances are bounded at nothing.
    """
    kernels = (*[kernel(labels) for labels in terms], np.eye(len(scores)))
    size = float(np.var(scores - design @ np.linalg.lstsq(design, scores, rcond=None)[0])) or 1.0
    variances, best = _climb(scores / size**0.5, design, kernels)
    variances = variances * size
    inverse = np.linalg.inv(_total(variances, kernels))
    covariance = np.linalg.inv(design.T @ inverse @ design)
    fixed = covariance @ design.T @ inverse @ scores
    degrees = len(scores) - design.shape[1]
    likelihood = best - 0.5 * degrees * float(np.log(2.0 * np.pi * size))
    return Mixed(fixed, np.asarray(covariance, dtype=np.float64), variances, likelihood, design, kernels)


def _climb(scores: FloatArray, design: FloatArray, kernels: Sequence[FloatArray]) -> tuple[FloatArray, float]:
    """The variances at the top of the restricted likelihood, and its height without the constant."""
    variances = np.full(len(kernels), 1.0 / len(kernels))
    height, slopes, information = _surface(variances, scores, design, kernels)
    for _ in range(MOST_STEPS):
        free = (variances > 0.0) | (slopes > 0.0)
        step = np.zeros_like(variances)
        step[free] = np.linalg.lstsq(information[np.ix_(free, free)], slopes[free], rcond=None)[0]
        for halving in range(MOST_HALVINGS):
            tried = np.maximum(variances + step * 0.5**halving, 0.0)
            tried[-1] = max(tried[-1], LEAST_REST)
            surface = _surface(tried, scores, design, kernels)
            if surface[0] >= height:
                break
        else:
            return variances, height
        moved = float(np.max(np.abs(tried - variances)))
        variances, (height, slopes, information) = tried, surface
        if moved < 1e-11:
            break
    return variances, height


def _surface(
    variances: FloatArray, scores: FloatArray, design: FloatArray, kernels: Sequence[FloatArray]
) -> tuple[float, FloatArray, FloatArray]:
    """Restricted log-likelihood without its constant, its slopes, and the expected information."""
    total = _total(variances, kernels)
    inverse = np.linalg.inv(total)
    half = inverse @ design
    inner = design.T @ half
    projector = np.asarray(inverse - half @ np.linalg.solve(inner, half.T), dtype=np.float64)
    left = projector @ scores
    height = np.linalg.slogdet(total)[1] + np.linalg.slogdet(inner)[1] + scores @ left
    slopes = [float(left @ part @ left - np.sum(projector * part)) for part in kernels]
    return -0.5 * float(height), 0.5 * np.array(slopes), _information(projector, kernels)


def _information(projector: FloatArray, kernels: Sequence[FloatArray]) -> FloatArray:
    """Expected information of the variances: half the traces of P K_a P K_b."""
    pieces = [projector @ part for part in kernels]
    return 0.5 * np.array([[np.sum(a * b.T) for b in pieces] for a in pieces])
