"""Writes the invented casks of this folder anew; nothing in them was measured. See README.md here."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np

HERE = Path(__file__).resolve().parent
SEED = 7
REMARK = "# Invented: casks, laboratory and panel. No trial stands behind these figures."
FACTS = {"wood": "american oak, ex bourbon", "fill": "2", "entry_abv_pct": "63.5", "store": "dunnage 1"}
HEAD = ["arm", "cask", "age_years", *FACTS, "assessor"]
# Marker: level at no age, change a year, a cask's spread in years, places.
MARKERS = {
    "ethyl acetate [g/hL pa]": (14.0, 3.1, 0.8, 1),
    "volatile acids [g/hL pa]": (11.0, 2.4, 0.9, 1),
    "syringaldehyde [mg/L]": (0.25, 0.21, 0.9, 2),
    "vanillin [mg/L]": (0.20, 0.12, 1.0, 2),
    "colour [absorbance]": (0.08, 0.035, 1.4, 3),
}
SCORES = ("maturity [0-10]", "sweetness [0-10]", "roast [0-10]")
ASSESSORS = [f"P{k}" for k in range(1, 11)]


def rows(
    rng: np.random.Generator,
    arm: str,
    casks: list[tuple[str, float, float]],
    lift: tuple[float, float, float],
    facts: dict[str, str],
    levels: np.ndarray,
) -> list[dict[str, object]]:
    """Samples and scores: each cask has name, true age, and the age its spirit is made to read."""
    made: list[dict[str, object]] = []
    for name, years, reads in casks:
        shared = rng.normal(0.0, 0.35)
        head = {"arm": arm, "cask": name, "age_years": f"{years:g}", **facts}
        for _ in range(2):  # two samples of each cask: they never count as two casks
            sample = dict(head)
            for marker, (start, slope, spread, places) in MARKERS.items():
                age = reads + shared + 0.6 * spread * rng.normal() + 0.2 * rng.normal()
                sample[marker] = f"{max(start + slope * age, 0.0):.{places}f}"
            made.append(sample)
        base = np.array([1.2 + 0.58 * reads, 3.6, 1.6]) + np.array(lift) + rng.normal(0.0, 0.3, 3)
        for k, assessor in enumerate(ASSESSORS):
            given = np.clip(base + levels[k] + rng.normal(0.0, 0.8, 3), 0.0, 10.0)
            made.append(
                {"cask": name, "age_years": f"{years:g}", "assessor": assessor}
                | {score: f"{value:.1f}" for score, value in zip(SCORES, given, strict=True)}
            )
    return made


def write(name: str, made: list[dict[str, object]], arms: bool) -> None:
    """One file, the remark first."""
    head = HEAD if arms else [h for h in HEAD if h != "arm"]
    with (HERE / name).open("w", encoding="utf-8", newline="") as stream:
        stream.write(REMARK + "\n")
        writer = csv.DictWriter(stream, [*head, *MARKERS, *SCORES], extrasaction="ignore", lineterminator="\n")
        writer.writeheader()
        writer.writerows(made)


def main() -> None:
    """The ladder, two arms in the same wood, and the first bill once more in other wood."""
    rng = np.random.default_rng(SEED)
    levels = rng.normal(0.0, 0.5, (len(ASSESSORS), 3))
    none, caramel = (0.0, 0.0, 0.0), (2.2, 2.0, 0.4)
    ladder = [(f"R{age}-{k}", float(age), float(age)) for age in (3, 6, 8, 12) for k in (1, 2, 3)]
    write("ladder.csv", rows(rng, "", ladder, none, FACTS, levels), arms=False)
    a = rows(rng, "A", [(f"A{k}", 3.0, 3.1) for k in range(1, 7)], caramel, FACTS, levels)
    b = rows(rng, "B", [(f"B{k}", 3.0, 7.7) for k in range(1, 7)], none, FACTS, levels)
    write("arms.csv", a + b, arms=True)
    new = FACTS | {"wood": "american oak, new, charred", "fill": "1"}
    write("other-wood.csv", rows(rng, "A-new", [(f"N{k}", 3.0, 6.5) for k in range(1, 7)], caramel, new, levels), True)


if __name__ == "__main__":
    main()
