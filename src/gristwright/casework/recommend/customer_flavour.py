"""What reaches the spirit, and how much for how long, as sentences for the customer. See docs/casework.md."""

from __future__ import annotations

from collections.abc import Iterator

from gristwright.quantities.shown import fewest_decimals
from gristwright.records.ageing import ProofOption
from gristwright.records.dose import DosePlan, DoseStep
from gristwright.records.results import BillResult
from gristwright.records.said import Amount, Name, Said, Term, said

MOST_FELT = 3


def felt(result: BillResult) -> Iterator[Said]:
    """The markers of a bill that are likely felt, with their amounts in the new spirit; nothing where none is."""
    told = [one for one in result.markers if one.verdict == "likely_felt" and not one.part_of and one.spirit_ug_per_L]
    named: list[Term] = [
        said("marker.amount", marker=Name("marker", one.marker), amount=Amount.of_band(one.spirit_ug_per_L, "ug/L", 0))
        for one in told[:MOST_FELT]
        if one.spirit_ug_per_L is not None
    ]
    if named:
        yield said("marker.felt", markers=tuple(named))


def brings_flavour(result: BillResult) -> bool:
    """Whether a bill has a malt whose character somebody pays for: made dark or smoked, or rye and wheat."""
    return any(one.verdict != "does_not_pass" and one.against_today is not None for one in result.markers)


def dose_lines(plan: DosePlan | None) -> tuple[Said, ...]:
    """The series of doses: the line that is of use, the doses cheapest first, when to stop, what cannot be shown."""
    return () if plan is None else tuple(_lines(plan))


def _lines(plan: DosePlan) -> Iterator[Said]:
    asked = plan.asked
    if plan.older is not None:
        yield _shows("older", plan.older, plan.older.power_older, years=_years(asked.years))
    doses = [step for step in sorted(plan.steps, key=lambda step: step.order) if step.order]
    if doses:
        yield said("dose.doses", doses=tuple(_dose(step) for step in doses))
    for stage in plan.stages[:1]:
        yield said(
            "dose.stop",
            years=_years(stage.years),
            below=Amount(stage.stops_below, stage.unit, fewest_decimals(stage.stops_below, 1)),
            nothing=Amount(100.0 * stage.stops_nothing, "%"),
        )
    ends = {"low": _years(asked.reads_low), "high": _years(asked.reads_high)}
    if plan.reads is not None:
        yield _shows("reads", plan.reads, plan.reads.power, **ends)
    else:
        most = plan.largest
        yield said("dose.reads.none", n=most.casks_per_arm, power=Amount(100.0 * most.power, "%"), **ends)
    yield said("dose.label")


def _shows(what: str, option: ProofOption, power: float, **terms: Term) -> Said:
    """What one size of trial shows, and in how many of the trials; with its cost where it is known."""
    known: dict[str, Term] = {"n": option.casks_per_arm, "power": Amount(100.0 * power, "%"), **terms}
    if option.cost is None:
        return said(f"dose.{what}", **known)
    return said(f"dose.{what}.cost", cost=Amount(option.cost, "money"), **known)


def _dose(step: DoseStep) -> Said:
    """One dose with what it gives up."""
    pct = Amount(step.pct, "%", fewest_decimals(step.pct))
    litres = step.changes.get("lpa_per_t")
    if litres is None:
        return said("dose.step.alone", pct=pct)
    return said("dose.step", pct=pct, litres=Amount.of_figure(litres, change=True))


def _years(years: float) -> Amount:
    return Amount(years, "years", fewest_decimals(years, 1))
