"""A series of doses in words: what is of use first, what cannot be shown after it. See docs/ageing.md."""

from __future__ import annotations

from gristwright.quantities.shown import interval, plain, signed
from gristwright.records.ageing import ProofOption
from gristwright.records.dose import DosePlan, DoseStep
from gristwright.records.results import Fact
from gristwright.reference import toml_table


def facts() -> tuple[Fact, ...]:
    """What must be said beside every series."""
    entries = toml_table("tables/dose_facts.toml")["fact"]
    return tuple(Fact(entry["text"], entry["standing"], entry["source"]) for entry in entries)


def answer(plan: DosePlan, today: str) -> tuple[str, ...]:
    """The answer in short."""
    first = next((step for step in plan.steps if step.order == 1), None)
    lines = [_use(plan, first, today), *_start(plan, first), *_stop(plan), _age(plan)]
    return tuple(line for line in lines if line)


def _use(plan: DosePlan, first: DoseStep | None, today: str) -> str:
    """The smallest trial that shows a direction."""
    asked, one = plan.asked, plan.older
    if first is None:
        stops = "; ".join(dict.fromkeys(reason for step in plan.steps for reason in step.stopped_by))
        return f"No dose of the series may be mashed: {stops}."
    if one is None:
        return (
            f"No trial of up to {plan.largest.casks_per_arm} casks an arm shows in {asked.power_pct:g} % of cases "
            "that a "
            f"dose reads older than {asked.years:g} years; the largest does in {_pct(plan.largest.power_older)}."
        )
    paid = f", {plain(first.cost, 0)} {plan.currency} for the first dose" if first.cost is not None else ""
    return (
        f"{one.casks_per_arm} casks of a dose beside {one.casks_per_arm} of {today} and {one.ladder_per_age} reference "
        f"casks of each age show after {asked.years:g} years that it reads older than it is, in "
        f"{_pct(one.power_older)} "
        f"of trials if it truly reads like {plain(plan.reads_years, 1)}{paid}. When it is no older but sweeter they "
        "say "
        f"so in {_pct(one.false_older)}. Without archived references it waits for the oldest of them, "
        f"{max(asked.ladder_years):g} years."
    )


def _start(plan: DosePlan, first: DoseStep | None) -> list[str]:
    if first is None:
        return []
    lines = [f"Begin with {first.pct:g} % of {' and '.join(plan.titles)}: {given_up(first, plan.currency)}."]
    if first.needed_years is not None and first.needed_years.low > 0.0:
        span = interval(first.needed_years, 1)
        lines.append(f"It pays by age only if it stands in for plain spirit {span} years older than it is.")
    stopped = [step for step in plan.steps if step.stopped_by]
    lines += [f"Not to be mashed: {step.pct:g} % ({'; '.join(step.stopped_by)})." for step in stopped]
    lines += [f"Not followed: {line}" for line in plan.left_out]
    sound = len(plan.steps) - len(stopped)
    if plan.together_cost is not None and sound > 1:
        lines.append(
            f"All {sound} doses in one trial, with one arm of today's and the same references: "
            f"{plain(plan.together_cost, 0)} {plan.currency}."
        )
    return lines


def given_up(step: DoseStep, currency: str) -> str:
    """What a dose gives up, in a sentence's end."""
    if not step.changes:
        return "its litres are withheld"
    litres, money = step.changes["lpa_per_t"].band, step.changes["cost_per_lpa"].band
    return (
        f"{signed(litres.middle, 1)} L of pure alcohol a tonne ({interval(litres, 1, difference=True)}) and "
        f"{signed(money.middle, 3)} {currency} a litre ({interval(money, 3, difference=True)}) against today"
    )


def _stop(plan: DosePlan) -> list[str]:
    """What makes one stop, in short."""
    if not plan.stages or not any(step.order for step in plan.steps):
        return []
    new, *years, _ = plan.stages
    lines = [f"Before a cask is filled: {new.rule}"]
    if years:
        first = years[0]
        lines.append(
            f"After {first.years:g} year{'s' * (first.years > 1)}: {first.rule} It stops {_pct(first.stops_nothing)} "
            "of "
            f"doses that do nothing, and {_pct(first.stops_true)} of those that truly read so."
        )
    return lines


def _age(plan: DosePlan) -> str:
    """What it takes to show the age itself, after what is of use."""
    asked, one = plan.asked, plan.reads
    span = (
        f"{asked.reads_low:g} to {asked.reads_high:g}" if asked.reads_low < asked.reads_high else f"{asked.reads_low:g}"
    )
    if one is not None:
        return (
            f"That it reads like {span} years takes {one.casks_per_arm} casks an arm, {_pct(one.power)} of trials"
            f"{_priced(one, plan.currency)}."
        )
    most = plan.largest
    return (
        f"That it reads like {span} years is another matter: even {most.casks_per_arm} casks an arm show it in "
        f"{_pct(most.power)} of trials, if it is so{_priced(most, plan.currency)}. Casks of your own that differ "
        "less, or "
        "more assessors, bring it down (gristwright ageing plan)."
    )


def _priced(one: ProofOption, currency: str) -> str:
    return "" if one.cost is None else f", {plain(one.cost, 0)} {currency} without the looks on the way"


def _pct(share: float) -> str:
    return "under 1 %" if 0.0 < share < 0.005 else f"{plain(100.0 * share, 0)} %"
