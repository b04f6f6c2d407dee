"""Plan the proof: how many casks, ages, markers and assessors a claim takes, by simulation. See docs/ageing.md."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from gristwright.basics import BoolArray, Draws, FloatArray, Problem, refuse_if_any
from gristwright.casework.claim.spreads import assumptions
from gristwright.evidence.ageing.limits import claim_problems
from gristwright.evidence.ageing.simulate import Size, panel_scores, read_markers
from gristwright.evidence.panel.balanced import against_line, squares
from gristwright.evidence.panel.limits import LEAST_ASSESSORS
from gristwright.numerics.draws import sample
from gristwright.quantities.shown import counted
from gristwright.records.age_evidence import AGREE_AT, AgeReading
from gristwright.records.ageing import AgeClaim, ProofOption, ProofPlan
from gristwright.reference.load import priors

MEMBERS = 1024
CASKS_PER_ARM = (3, 4, 6, 8, 10, 12, 16, 20, 24)
SAMPLES_A_SITTING = 6
OLDEST, MOST_COST = 100.0, 1e7
MARKERS, PANEL = "ageing.marker_spread_y", "ageing.panel_cask_spread_y"
# "Older" is said when a two-sided interval excludes the true age, so it is false in at most this share of trials.
FALSE_RATE = 0.05


@dataclass(frozen=True)
class Asked:
    """What the user holds fixed; prices are the user's own and may be missing."""

    claim: AgeClaim
    power: float = 0.8
    arms: int = 2
    ladder_ages: tuple[float, ...] = (3.0, 6.0, 8.0, 12.0)
    per_age: int | None = None  # None: half of an arm's casks, at least three
    casks_per_arm: int | None = None  # None: the fewest that reach the power
    markers: int = 4
    assessors: int = 12
    repeats: int = 1
    reads_years: float | None = None  # None: the middle of the claim
    spread_years: float | None = None  # of a marker between casks, from the house's own ladder
    cask_cost: float | None = None
    analysis_cost: float | None = None
    sitting_cost: float | None = None
    false_rate: float = FALSE_RATE
    panel_spread_years: float | None = None  # of casks of one age to the panel, from the house's own ladder

    @property
    def confidence(self) -> float:
        """Of the intervals on which the claim will be judged, as a share."""
        return 1.0 - self.false_rate


def limits(asked: Asked) -> list[Problem]:
    """Every fault of what was asked."""
    ages, one = asked.ladder_ages, asked.claim
    wrong = [age for age in ages if not 0.0 <= age <= OLDEST]
    problems = [fault for fault in claim_problems(one, (), (one.years,)) if not fault.warning]
    if wrong:
        what = f"{', '.join(f'{age:g}' for age in wrong)} is no age of a cask (0 to {OLDEST:g} years)."
        problems.append(Problem("ladder", what, "Give ages such as 3,6,8,12."))
    elif len(set(ages)) < 3:
        problems.append(
            Problem("ladder", f"{len(set(ages))} ages are no ladder.", "Give at least three, such as 3,6,8,12.")
        )
    elif not min(ages) <= one.low <= one.high <= max(ages):
        what = f"the claim of {one.low:g} to {one.high:g} years lies outside the ages {min(ages):g} to {max(ages):g}."
        problems.append(Problem("ladder", what, "Nothing is read beyond the ladder: add older or younger references."))
    for name, value, low, high in (
        ("power", asked.power, 0.5, 0.99),
        ("false rate", asked.false_rate, 0.01, 0.2),
        ("cask cost", asked.cask_cost, 0, MOST_COST),
        ("analysis cost", asked.analysis_cost, 0, MOST_COST),
        ("sitting cost", asked.sitting_cost, 0, MOST_COST),
        ("markers", asked.markers, 2, 12),
        ("assessors", asked.assessors, LEAST_ASSESSORS, 60),
        ("arms", asked.arms, 1, 8),
        ("casks", asked.casks_per_arm, 2, 60),
        ("per age", asked.per_age, 2, 30),
        ("repeats", asked.repeats, 1, 6),
        ("spread", asked.spread_years, 0.05, 10.0),
        ("panel spread", asked.panel_spread_years, 0.05, 10.0),
        ("reads", asked.reads_years, one.low, max(ages, default=one.high)),
    ):
        if value is not None and not low <= value <= high:
            problems.append(Problem(name, f"{value:g} is outside {low:g} to {high:g}.", "Choose a value inside."))
    return problems


def plan_proof(asked: Asked, *, members: int = MEMBERS, seed: int = 1) -> ProofPlan:
    """The size of trial that shows the claim, with its dates, draw of casks and codes.

    Power is the share of trials in which markers and panel both exclude every age below the claim, if the spirit truly
    reads as assumed, by default in its middle. False "older" is the share in which both exclude the true age, if the
    arm is no older and its score is raised by sweetness. Raises Refused.
    """
    refuse_if_any(limits(asked))
    draws = sample(priors("ageing"), members, seed)
    draws = with_spread(draws, MARKERS, asked.spread_years)
    draws = with_spread(draws, PANEL, asked.panel_spread_years)
    sizes = [asked.casks_per_arm] if asked.casks_per_arm else list(CASKS_PER_ARM)
    options = [_option(asked, count, draws, seed) for count in sizes]
    chosen = next((o for o in options if o.power >= asked.power and o.false_older <= asked.false_rate), None)
    if asked.casks_per_arm:
        chosen = options[0]
    shown = chosen or options[-1]
    oldest = max(asked.ladder_ages)
    return ProofPlan(
        asked.claim,
        truth_of(asked),
        asked.power,
        asked.false_rate,
        asked.arms,
        asked.ladder_ages,
        asked.markers,
        chosen,
        tuple(options),
        asked.claim.years,
        max(asked.claim.years, oldest),
        tuple(_calendar(asked)),
        tuple(_draw(asked, shown, seed)),
        tuple(_codes(asked, shown, seed)),
        tuple(_steps(asked, shown)),
        assumptions({MARKERS: asked.spread_years, PANEL: asked.panel_spread_years}),
        seed,
        members,
        () if chosen else tuple(_levers(asked, shown, draws, seed)),
        older_of(options, asked),
    )


def older_of(options: Sequence[ProofOption], asked: Asked, least_casks: int = 0) -> ProofOption | None:
    """The smallest trial of at least so many casks that shows "older than it is" as often as asked."""
    return next(
        (
            one
            for one in options
            if one.casks_per_arm >= least_casks
            and one.power_older >= asked.power
            and one.false_older <= asked.false_rate
        ),
        None,
    )


def size_of(asked: Asked, casks: int) -> Size:
    """The trial with so many casks an arm."""
    per_age = asked.per_age or max(3, math.ceil(casks / 2))
    return Size(asked.ladder_ages, per_age, casks, asked.markers, asked.assessors, asked.repeats)


def _option(asked: Asked, casks: int, draws: Draws, seed: int) -> ProofOption:
    size, one = size_of(asked, casks), asked.claim
    rng = np.random.default_rng([seed, casks])
    middle = truth_of(asked)
    nothing = np.zeros_like(draws["ageing.sweet_halo_y"])
    own = max(one.years, min(asked.ladder_ages))
    sure = asked.confidence
    true = both(size, middle, nothing, draws, rng, lambda r: r.older_than(one.low), sure)
    older = both(size, middle, nothing, draws, rng, lambda r: r.older_than(own), sure)
    false = both(size, own, draws["ageing.sweet_halo_y"], draws, rng, lambda r: r.older_than(own), sure)
    width = read_markers(size, middle, draws, rng, sure).ages
    samples = samples_of(asked, casks)
    return ProofOption(
        casks,
        size.per_age,
        asked.assessors,
        samples,
        float(true.mean()),
        float(older.mean()),
        float(false.mean()),
        float(np.nanmedian(0.5 * (width.high - width.low))),
        cost_of(asked, casks),
    )


def both(
    size: Size,
    truth: float,
    halo: FloatArray,
    draws: Draws,
    rng: np.random.Generator,
    says: Callable[[AgeReading], BoolArray],
    confidence: float = 1.0 - FALSE_RATE,
) -> BoolArray:
    """Members in which markers agree on one age and `says` is true of markers and panel alike; (members,)."""
    chem = read_markers(size, truth, draws, rng, confidence)
    scores, group, ages = panel_scores(size, truth + halo, draws, rng)
    estimate, contrast, weakness, _ = against_line(squares(scores, group), ages, len(ages) - 1).age(confidence)
    scored = AgeReading(estimate, contrast, weakness, np.full_like(estimate, np.nan), 0.0)
    return np.asarray((chem.agreement >= AGREE_AT) & says(chem) & says(scored))


def _levers(asked: Asked, largest: ProofOption, draws: Draws, seed: int) -> list[tuple[str, float]]:
    """What the largest trial would show with one thing changed: words and power, the most helpful first."""
    size, nothing = size_of(asked, largest.casks_per_arm), np.zeros_like(draws["ageing.sweet_halo_y"])
    markers, panel = {MARKERS: 0.5 * draws[MARKERS]}, {PANEL: 0.5 * draws[PANEL]}
    changed = [
        (f"{2 * size.assessors} assessors", replace(size, assessors=2 * size.assessors), draws),
        (f"{2 * size.per_age} references of each age", replace(size, per_age=2 * size.per_age), draws),
        (f"{2 * size.markers} markers", replace(size, markers=2 * size.markers), draws),
        ("casks that differ half as much in the markers", size, {**draws, **markers}),
        ("casks that differ half as much to the panel", size, {**draws, **panel}),
        ("casks that differ half as much to both", size, {**draws, **markers, **panel}),
    ]
    levers = []
    for words, other, spreads in changed:
        rng = np.random.default_rng([seed, largest.casks_per_arm])
        shown = both(
            other, truth_of(asked), nothing, spreads, rng, lambda r: r.older_than(asked.claim.low), asked.confidence
        )
        levers.append((words, float(shown.mean())))
    return sorted(levers, key=lambda lever: -lever[1])


def truth_of(asked: Asked) -> float:
    """What the spirit reads if the claim is true [years]."""
    return 0.5 * (asked.claim.low + asked.claim.high) if asked.reads_years is None else asked.reads_years


def cost_of(asked: Asked, casks: int) -> float | None:
    """What a trial of so many casks an arm costs, its last look alone; None without any price [money]."""
    prices = (asked.cask_cost, asked.analysis_cost, asked.sitting_cost)
    if all(price is None for price in prices):
        return None
    samples = samples_of(asked, casks)
    cask, analysis, sitting = (price or 0.0 for price in prices)
    return cask * asked.arms * casks + analysis * samples + sitting * sittings(samples, asked.repeats)


def samples_of(asked: Asked, casks: int) -> int:
    """Arms and references together."""
    size = size_of(asked, casks)
    return asked.arms * casks + size.per_age * len(size.ladder_ages)


def sittings(samples: int, repeats: int) -> int:
    """How often the panel meets: no more than six samples a sitting, each sample nosed `repeats` times."""
    return math.ceil(samples * repeats / SAMPLES_A_SITTING)


def _calendar(asked: Asked) -> list[tuple[float, str]]:
    last = asked.claim.years
    first = (0.0, "Fill all arms in one week from one lot of casks; gauge, weigh and sample each.")
    yearly = [
        (float(year), "Gauge and sample every cask; analyse; keep a sealed portion cold for the last panel.")
        for year in range(1, math.ceil(last))
    ]
    end = (last, "Gauge and sample arms and references together; analyse in one batch; panel; open the codes last.")
    return [first, *yearly, end]


def _draw(asked: Asked, option: ProofOption, seed: int) -> list[tuple[str, str]]:
    """Which cask goes to which arm, by lot."""
    arms = [f"arm {chr(65 + k)}" for k in range(asked.arms) for _ in range(option.casks_per_arm)]
    order = np.random.default_rng([seed, 101]).permutation(len(arms))
    return [(f"cask {number + 1}", arms[k]) for number, k in enumerate(order)]


def _codes(asked: Asked, option: ProofOption, seed: int) -> list[tuple[str, str, int]]:
    """Sample, three-digit code and sitting of everything the panel is served.

    Arms and references are dealt out in turn, so that each sitting has some of both; no code comes twice while there
    are codes enough.
    """
    names = [cask for cask, _ in sorted(_draw(asked, option, seed), key=lambda drawn: drawn[1])]
    names += [f"reference {age:g} y, {k + 1}" for age in asked.ladder_ages for k in range(option.ladder_per_age)]
    served = names * asked.repeats
    count = sittings(option.samples, asked.repeats)
    numbers = np.random.default_rng([seed, 102]).permutation(np.arange(100, 1000))
    return [(name, str(numbers[k % len(numbers)]), k % count + 1) for k, name in enumerate(served)]


def _steps(asked: Asked, option: ProofOption) -> list[str]:
    count = sittings(option.samples, asked.repeats)
    return [
        f"Fill {counted(option.casks_per_arm, 'cask')} an arm, {asked.arms} arm{'s' * (asked.arms > 1)}: "
        + ("one is the house's bill without the special malt. " if asked.arms > 1 else "")
        + "Same house, yeast and cut, one lot of casks given out by the draw below, same entry strength, same store, "
        "places mixed.",
        f"References: {counted(option.ladder_per_age, 'cask')} each of "
        f"{', '.join(f'{age:g}' for age in asked.ladder_ages)} "
        "years, of the same wood, fill, entry "
        "strength and store. Archived casks will do; without them the last answer waits for the oldest age.",
        f"Name {counted(asked.markers, 'marker')} before filling, at least one of them no marker of wood; colour and "
        "furfural do not count.",
        f"Panel: {counted(asked.assessors, 'assessor')}, {counted(count, 'sitting')} of at most "
        f"{SAMPLES_A_SITTING} samples, references and "
        "arms together in each, nosed first, at one strength (about 20 %vol), in coloured glass, three-digit codes, "
        "order balanced and drawn anew for each assessor.",
        "Score maturity, sweetness and roast apart. Whoever serves does not know the codes; they are opened when "
        "all is written down.",
        "Analyse once, at the end. A look in between that may stop the trial raises the share of false claims.",
    ]


def with_spread(draws: Draws, name: str, spread_years: float | None) -> Draws:
    """The draws with a spread of the house's own ladder where one is given."""
    return draws if spread_years is None else {**draws, name: np.full_like(draws[name], spread_years)}
