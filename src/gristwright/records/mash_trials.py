"""A simulated mash as a distiller reads it, and a grid of plans of one bill. Page: docs/vary.md."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from gristwright.basics import Assumption, Band, Problem
from gristwright.records.fields import Number, fields_of
from gristwright.records.results import Figure, MeasureNext
from gristwright.records.wash_trials import WashRun

# What is followed over time, as a person reads it.
COURSES = {
    "mash_degC": ("the mash", "degC"),
    "glucose_kg_per_t": ("glucose", "kg/t"),
    "maltose_kg_per_t": ("maltose", "kg/t"),
    "maltotriose_kg_per_t": ("maltotriose", "kg/t"),
    "dextrin_kg_per_t": ("dextrin", "kg/t"),
    "starch_kg_per_t": ("starch not converted", "kg/t"),
    "wort_g_per_100g": ("strength of the wort", "g/100 g"),
    "alpha_alive": ("alpha-amylase alive", "of 1"),
    "beta_alive": ("beta-amylase alive", "of 1"),
    "limit_dextrinase_alive": ("limit dextrinase alive", "of 1"),
}
ENZYMES = ("alpha_alive", "beta_alive", "limit_dextrinase_alive")
WHOLE_MASH = "whole mash"


@dataclass(frozen=True)
class WortLine:
    """One wort, or the whole mash, as it leaves: when, where to, how much and how strong, which enzymes live."""

    name: str
    goes_to: str
    at_min: float
    volume_L_per_t: Band
    degP: Band
    alive_pct: Mapping[str, Band]  # by ENZYMES, without what the model has not


@dataclass(frozen=True)
class MashRun:
    """The course of one mash with bands: `courses` by COURSES, one band for each time, less what the model has not."""

    bill: str
    house: str
    times_min: tuple[float, ...]
    settled_degC: tuple[float, ...]
    corners: tuple[tuple[float, float], ...]  # of the settled temperature as written: minute, degC
    courses: Mapping[str, tuple[Band, ...]]
    figures: tuple[Figure, ...]
    worts: tuple[WortLine, ...]
    measure_next: tuple[MeasureNext, ...]
    assumptions: tuple[Assumption, ...]
    warnings: tuple[Problem, ...]
    balance_error: float


@dataclass(frozen=True)
class Setting:
    """One number of a mash plan: what it is, its unit and what it may be."""

    meaning: str
    unit: str
    limits: tuple[float, float]


def settings_of(kind: type) -> dict[str, Setting]:
    """The numbers of a record that may be varied, by name."""
    said = {name: one.said for name, one in fields_of(kind).items()}
    numbers = {name: one for name, one in said.items() if isinstance(one, Number) and one.varied}
    return {name: Setting(one.varied, one.unit, one.bounds) for name, one in numbers.items()}


@dataclass(frozen=True)
class Axis:
    """One setting and the values it is to take, in their order."""

    key: str
    setting: Setting
    values: tuple[float, ...]


@dataclass(frozen=True)
class PlanCell:
    """One plan of the grid: its figures and what they change against today's, or why it cannot be.

    Where the litres of a plan are `withheld` it has none, and no change of them; nor has it where today's are.

    `margin` is the probability that the worst board is not in order; law is no board here, the mash does not move it.
    """

    values: tuple[float, ...]  # where it stands on each axis; none for the plan as it stands
    figures: dict[str, Figure]
    changes: dict[str, Figure]
    margin: float
    worst: str
    cannot: str = ""
    warnings: tuple[str, ...] = ()
    withheld: str = ""  # why it has no litres


@dataclass(frozen=True)
class Named:
    """What a figure of every plan is called, whether or not a plan has it."""

    label: str
    unit: str
    decimals: int


@dataclass(frozen=True)
class Variation:
    """A grid of plans for one bill; cells in the order of the axes, the last axis running fastest."""

    bill: str
    house: str
    axes: tuple[Axis, ...]
    standing: tuple[float | None, ...]  # where the plan as it stands lies on each axis
    today: PlanCell
    cells: tuple[PlanCell, ...]
    assumptions: tuple[Assumption, ...]
    warnings: tuple[Problem, ...]
    members: int
    seed: int
    asked: dict[str, Named] = field(default_factory=dict)  # of every plan, by key; empty: what today's has

    @property
    def named(self) -> dict[str, Named]:
        """What the figures of the plans are called, by key."""
        return self.asked or {k: Named(f.label, f.unit, f.decimals) for k, f in self.today.figures.items()}

    @property
    def keys(self) -> tuple[str, ...]:
        """Keys of the figures that plans have."""
        return tuple(self.named)

    def has(self, key: str) -> bool:
        """Whether any plan has the figure: all may have litres that are withheld."""
        return any(key in cell.figures for cell in (self.today, *self.cells))


@dataclass(frozen=True)
class Moved:
    """How far a figure, or the margin, moves over a grid in its own unit, and whether that is worth a picture."""

    key: str
    by: float
    worth_showing: bool


@dataclass(frozen=True)
class MashPart:
    """A bill's mash over time, and a grid of plans around the house's own; None where none can be mashed.

    `varied` says which temperature the grid varies and why, `moved` what it moves; `wash` is the wash of that mash.
    """

    run: MashRun
    grid: Variation | None
    varied: str = ""
    moved: tuple[Moved, ...] = ()
    wash: WashRun | None = None
