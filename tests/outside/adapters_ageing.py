"""Read-back, mixed models, difference tests, cost at release and smoke set to a published case, one scalar out."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

import numpy as np

from gristwright.economics.release import cost_at_release_per_lpa
from gristwright.evidence.ageing.line import fit_lines, read_mean
from gristwright.evidence.panel.difference import retained_share
from gristwright.evidence.panel.reml import Mixed, fit_mixed
from gristwright.records.markers_through import MarkerLab
from gristwright.stages.markers.model import HouseFigures, cut_slope, follow_markers

DATA = Path(__file__).resolve().parent / "data"
DYESTUFF = (
    "1545 1440 1440 1520 1580 1540 1555 1490 1560 1495 1595 1550 1605 1510 1560 "
    "1445 1440 1595 1465 1545 1595 1630 1515 1635 1625 1520 1455 1450 1480 1445"
)


def read_back(what: str, x: list[float], y: list[float], y0: float, confidence: float, mean_response: bool) -> float:
    """One of estimate, low, high and g of a straight line read backwards; a mean response has no error of its own."""
    lines = fit_lines(np.array(x, float), np.array(y, float)[None, :, None])
    freedom = len(x) - 2
    found = read_mean(
        lines, np.array([[y0]]), 0.0 if mean_response else 1.0, lines.scatter / freedom, freedom, confidence
    )
    return float(
        {"estimate": found.estimate, "low": found.ages.low, "high": found.ages.high, "g": found.weakness}[what][0]
    )


def line(what: str, x: list[float], y: list[float]) -> float:
    """Slope, level at x = 0, or residual standard deviation."""
    found = fit_lines(np.array(x, float), np.array(y, float)[None, :, None])
    s = float(np.sqrt(found.scatter[0, 0, 0] / (len(x) - 2)))
    slope = float(found.slope[0, 0])
    return {"slope": slope, "at_zero": float(found.level[0, 0]) - slope * found.centre, "s": s}[what]


def _labels(rows: list[dict[str, str]], name: str) -> np.ndarray:
    return np.unique([row[name] for row in rows], return_inverse=True)[1]


def _contrasts(labels: np.ndarray) -> np.ndarray:
    """Sum-to-nothing columns of a factor."""
    levels = int(labels.max()) + 1
    return np.vstack([np.eye(levels - 1), -np.ones(levels - 1)])[labels]


def _rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


@cache
def _television(terms: str) -> Mixed:
    rows = _rows("television.csv")
    who, sets, pictures = (_labels(rows, name) for name in ("assessor", "set", "picture"))
    a, b = _contrasts(sets), _contrasts(pictures)
    both = np.einsum("ni,nj->nij", a, b).reshape(len(rows), -1)
    known = {"a": who, "as": who * 3 + sets, "ap": who * 4 + pictures, "asp": (who * 3 + sets) * 4 + pictures}
    y = np.array([float(row["colour_saturation"]) for row in rows])
    return fit_mixed(y, np.column_stack([np.ones(len(y)), a, b, both]), [known[name] for name in terms.split()])


def television_F(effect: str, terms: str) -> float:
    """F of set, picture or both with the random terms named: a assessor, s set, p picture."""
    first, last = {"set": (1, 3), "picture": (3, 6), "both": (6, 12)}[effect]
    return _television(terms).wald_F(np.eye(12)[first:last])


def television_likelihood_ratio() -> float:
    """Twice the gain in restricted log-likelihood of assessor by set."""
    return 2.0 * (_television("a as").log_likelihood - _television("a").log_likelihood)


@cache
def _ham() -> Mixed:
    rows = _rows("ham.csv")
    who, product, told = (_labels(rows, name) for name in ("consumer", "product", "information"))
    a, b = _contrasts(product), _contrasts(told)
    both = np.einsum("ni,nj->nij", a, b).reshape(len(rows), -1)
    y = np.array([float(row["liking"]) for row in rows])
    return fit_mixed(y, np.column_stack([np.ones(len(y)), a, b, both]), [who, who * 4 + product, who * 2 + told])


def ham_F(effect: str) -> float:
    """F of product or information with consumer and both its interactions at random."""
    first, last = {"product": (1, 4), "information": (4, 5)}[effect]
    return _ham().wald_F(np.eye(8)[first:last])


def ham_mean(product: int) -> float:
    """Adjusted mean of one ham, counted from 1."""
    effects = np.append(_ham().fixed[1:4], -_ham().fixed[1:4].sum())
    return float(_ham().fixed[0] + effects[product - 1])


def ham_freedom() -> float:
    """Satterthwaite's degrees of freedom of the first product contrast."""
    return _ham().freedom(np.eye(8)[1])


def dyestuff(what: str) -> float:
    """Variance between or within batches, mean, or its standard error."""
    y = np.array(DYESTUFF.split(), float)
    fit = fit_mixed(y, np.ones((30, 1)), [np.repeat(np.arange(6), 5)])
    found = {
        "between": fit.variances[0],
        "within": fit.variances[1],
        "mean": fit.fixed[0],
        "se": fit.covariance[0, 0] ** 0.5,
    }
    return float(found[what])


def pastes(what: str) -> float:
    """Variance of casks in batches, of batches, of assays, or the mean."""
    rows = _rows("pastes.csv")
    y = np.array([float(row["strength"]) for row in rows])
    fit = fit_mixed(y, np.ones((len(y), 1)), [_labels(rows, "cask"), _labels(rows, "batch")])
    return float(
        {"cask": fit.variances[0], "batch": fit.variances[1], "assay": fit.variances[2], "mean": fit.fixed[0]}[what]
    )


def not_found(assessors: int, chance_in: int, tellers: float, alpha: float) -> float:
    """Share of difference tests that find nothing although some people tell the difference."""
    return retained_share(assessors, 1.0 / chance_in, tellers, alpha)


def cost_at_release(new: float, rent: float, years: float, interest: float, loss: float) -> float:
    """Cost of a litre of pure alcohol after some years."""
    return float(cost_at_release_per_lpa(np.array(new), np.array(rent), np.array(years), interest, np.array(loss)))


def smoke(what: str, malt: float, spirit: float, lpa_per_t: float, abv_pct: float) -> float:
    """Transfer of phenols that a house's own pair gives, ppm to ppm or by mass [%], middle of the band."""
    lab = MarkerLab(malt, spirit, lpa_per_t, abv_pct)
    house = HouseFigures(lpa_per_t, abv_pct)
    chains = follow_markers(("smoked",), house, {"phenols": malt}, labs={"phenols": lab}, smoke="peat")
    chain = next(chain for chain in chains if chain.marker == "phenols")
    return (chain.ppm_to_ppm_pct if what == "ppm" else chain.by_mass_pct).middle


def full_transfer_mg_per_L(malt: float, lpa_per_t: float, abv_pct: float) -> float:
    """What the spirit would hold if all of the malt's phenols came over."""
    return malt * 1000.0 / HouseFigures(lpa_per_t, abv_pct).spirit_L_per_t


def cut_ratio(marker: str, early: float, late: float) -> float:
    """How much more of a marker comes when the hearts run on from one strength to a lower one."""
    return cut_slope(marker, late) / cut_slope(marker, early)
