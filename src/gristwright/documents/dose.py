"""A series of doses as a view: the answer, every dose, the looks that may stop one. See docs/ageing.md."""

from __future__ import annotations

from dataclasses import dataclass

from gristwright.documents.bills import share_view
from gristwright.documents.cells import CellView, RowView
from gristwright.documents.entries import Entry, entry, single
from gristwright.quantities.shown import NOTHING, WITHHELD, interval, plain
from gristwright.records.ageing import ProofOption
from gristwright.records.dose import DosePlan, DoseStage, DoseStep
from gristwright.records.results import Fact, Figure

TITLE = "How much, for how long"
PAIRED = "the dose's bill against today's on the same draws"
SIMULATED = "made-up casks and panels with the spreads of priors/ageing.toml"
PRICED = "the customer's own prices"
RELEASE = "the customer's own prices at release"
READING = (
    "Cheapest first; a dose that may not be mashed stands last and says why. Proof: one arm of the dose beside one of "
    "today's and the references, every look with it, and what the dose's spirit costs more. To pay by age: how much "
    "older "
    "than its age plain spirit would have to be to cost as much at release."
)


@dataclass(frozen=True)
class DoseStepView:
    """One dose with its bill, its changes and what its proof takes."""

    order: int
    dose: Entry
    shares: tuple[Entry, ...]
    changes: dict[str, Entry]
    withheld: str
    needed_years: Entry | None
    felt: tuple[str, ...]
    mashes: Entry
    spirit_cost: Entry | None
    cost: Entry | None
    stopped_by: tuple[str, ...]


@dataclass(frozen=True)
class DoseStageView:
    """One look: when, at what, its rule, how often it stops what, and what it takes."""

    years: Entry
    when: str
    what: str
    rule: str
    stops_below: Entry
    stops_true: Entry
    stops_nothing: Entry
    sittings: Entry
    cost: Entry | None


@dataclass(frozen=True)
class ProofSizeView:
    """A size of trial with what it shows."""

    casks_per_arm: int
    ladder_per_age: int
    samples: int
    shows_older: Entry
    shows_the_age: Entry
    false_older: Entry
    cost: Entry | None


@dataclass(frozen=True)
class DoseView:
    """The whole series; `table` lays the doses in rows for who reads."""

    title: str
    dosed: tuple[str, ...]
    answer: tuple[str, ...]
    steps: tuple[DoseStepView, ...]
    heads: tuple[str, ...]
    table: tuple[RowView, ...]
    stages: tuple[DoseStageView, ...]
    older: ProofSizeView | None
    reads: ProofSizeView | None
    largest: ProofSizeView
    together_cost: Entry | None
    reading: str
    facts: tuple[Fact, ...]
    left_out: tuple[str, ...]


def dose_view(plan: DosePlan | None) -> DoseView | None:
    """Every text and number of a series; None where none was asked."""
    if plan is None:
        return None
    money = plan.currency
    return DoseView(
        title=TITLE,
        dosed=plan.titles,
        answer=plan.answer,
        steps=tuple(_step(step, money) for step in plan.steps),
        heads=_heads(money),
        table=tuple(_row(step) for step in plan.steps),
        stages=tuple(_stage(stage, money) for stage in plan.stages),
        older=_size(plan.older, money),
        reads=_size(plan.reads, money),
        largest=_known(plan.largest, money),
        together_cost=_paid("together_cost", "all doses in one trial", plan.together_cost, money),
        reading=f"{READING} {_takes(plan)}",
        facts=plan.facts,
        left_out=plan.left_out,
    )


def _takes(plan: DosePlan) -> str:
    """What the proof of each dose takes."""
    meets = sum(stage.sittings for stage in plan.stages)
    return (
        f"Each dose takes {plan.casks} casks of its own beside {plan.casks} of today's, {meets} sittings of the "
        "panel and "
        f"{plan.asked.years:g} years."
    )


def _step(step: DoseStep, money: str) -> DoseStepView:
    needed = step.needed_years
    return DoseStepView(
        order=step.order,
        dose=single("dose", "dose", "% of the grist", step.pct, 2, "asked"),
        shares=tuple(share_view(*label) for label in step.result.labels),
        changes={key: _change(figure) for key, figure in step.changes.items()},
        withheld=step.withheld.sentence if step.withheld else "",
        needed_years=None
        if needed is None
        else entry("needed", "to pay by age", "years older", needed, 1, basis=RELEASE),
        felt=step.felt,
        mashes=single("mashes", "mashes that fill its casks", "mashes", step.mashes, 0, PAIRED),
        spirit_cost=_paid("spirit_cost", "its spirit costs more", step.spirit_cost, money),
        cost=_paid("cost", "proof of this dose", step.cost, money),
        stopped_by=step.stopped_by,
    )


def _change(figure: Figure) -> Entry:
    return entry(figure.key, figure.label, figure.unit, figure.band, figure.decimals, basis=PAIRED, difference=True)


def _paid(key: str, label: str, value: float | None, money: str) -> Entry | None:
    return None if value is None else single(key, label, money, value, 0, PRICED)


def _stage(stage: DoseStage, money: str) -> DoseStageView:
    when = "new spirit" if stage.years == 0.0 else f"year {stage.years:g}"

    def share(key: str, label: str, value: float) -> Entry:
        return single(key, label, "% of trials", 100.0 * value, 0, SIMULATED)

    return DoseStageView(
        years=single("years", "after", "years", stage.years, 0, "asked"),
        when=when,
        what=stage.what,
        rule=stage.rule,
        stops_below=single("stops_below", "stops below", stage.unit, stage.stops_below, 1, SIMULATED),
        stops_true=share("stops_true", "stops a dose that truly reads so", stage.stops_true),
        stops_nothing=share("stops_nothing", "stops a dose that does nothing", stage.stops_nothing),
        sittings=single("sittings", "sittings", "sittings", stage.sittings, 0, "samples over six a sitting"),
        cost=_paid("cost", "this look", stage.cost, money),
    )


def _size(option: ProofOption | None, money: str) -> ProofSizeView | None:
    return None if option is None else _known(option, money)


def _known(option: ProofOption, money: str) -> ProofSizeView:
    def share(key: str, label: str, value: float) -> Entry:
        return single(key, label, "% of trials", 100.0 * value, 0, SIMULATED)

    return ProofSizeView(
        casks_per_arm=option.casks_per_arm,
        ladder_per_age=option.ladder_per_age,
        samples=option.samples,
        shows_older=share("shows_older", "shows that it reads older", option.power_older),
        shows_the_age=share("shows_the_age", "shows the age asked for", option.power),
        false_older=share("false_older", "says older of what is only sweeter", option.false_older),
        cost=_paid("cost", "its last look", option.cost, money),
    )


def _heads(money: str) -> tuple[str, ...]:
    first = ("Dose", "New spirit, L/t", f"Cost, {money}/L", "To pay by age, years")
    return (*first, "Likely felt, more than today", "Mashes", f"Proof, {money}")


def _row(step: DoseStep) -> RowView:
    """A dose as a row of the table."""
    order = f"{step.order}. " if step.order else ""
    needed = step.needed_years
    felt = ", ".join(step.felt) or "none by these numbers"
    cells = (
        *(_cell(step.changes.get(key)) for key in ("lpa_per_t", "cost_per_lpa")),
        CellView(NOTHING) if needed is None else CellView(plain(needed.middle, 1), interval(needed, 1)),
        CellView(felt if not step.stopped_by else f"not to be mashed: {'; '.join(step.stopped_by)}"),
        CellView(plain(step.mashes, 0)),
        CellView(NOTHING if step.cost is None else plain(step.cost, 0)),
    )
    return RowView(f"{order}{step.pct:g} %", "", cells)


def _cell(figure: Figure | None) -> CellView:
    if figure is None:
        return CellView(WITHHELD)
    number = _change(figure)
    return CellView(number.at, number.range)
