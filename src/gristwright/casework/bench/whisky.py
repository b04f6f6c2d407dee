"""A bill, its house and its cask plan as the law asks about them. See docs/law.md."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace
from typing import Protocol

from gristwright.basics import Refused, Verdict, at
from gristwright.casework.bench.bench import Bench
from gristwright.records.bill import WHOLE, Bill
from gristwright.records.enquiry import CaskPlan
from gristwright.records.law import CaskStay, CategoryAnswer, GristPart, WhiskyFacts
from gristwright.records.plant import Plant
from gristwright.records.remedies import Alteration
from gristwright.rules import law
from gristwright.rules.law.calendar import add_months
from gristwright.stages.grist.certificate import LotBelief
from gristwright.stages.grist.materials import material_named


def traits(beliefs: Sequence[LotBelief], parts: Sequence[int], dry: Sequence[int | None]) -> tuple[GristPart, ...]:
    """The lots as the law sees them; shares in 0.01 % as weighed and dry."""
    return tuple(
        GristPart(b.material.species, b.material.malted, b.material.form, b.material.process, as_is, of_dry)
        for b, as_is, of_dry in zip(beliefs, parts, dry, strict=True)
    )


def dry_parts(beliefs: Sequence[LotBelief], parts: Sequence[int]) -> list[int | None]:
    """Shares of the dry grist in 0.01 %; None for all when one lot in the bill has no moisture on its certificate."""
    moistures = [belief.values.get("moisture_pct") for belief in beliefs]
    if any(m is None for m, part in zip(moistures, parts, strict=True) if part):
        return [None] * len(beliefs)
    dry = [part * (100.0 - m) if m is not None else 0.0 for m, part in zip(moistures, parts, strict=True)]
    return [round(WHOLE * value / sum(dry)) for value in dry]


class ToJudge(Protocol):
    """What the law asks about beside a bill, as any bench of a distiller's job has it."""

    @property
    def lots(self) -> tuple[LotBelief, ...]:
        """The lots with their types."""

    @property
    def plant(self) -> Plant:
        """The house."""

    @property
    def cask(self) -> CaskPlan:
        """What the spirit is filled into."""


def facts(bench: ToJudge, bill: Bill, date: dt.date) -> WhiskyFacts:
    """Everything the categories ask, with the cask filled on `date` and emptied after the planned years."""
    parts = [bill.parts_of(belief.lot.lot_id) for belief in bench.lots]
    plant, stills = bench.plant, bench.plant.pot_stills
    grist = traits(bench.lots, parts, dry_parts(bench.lots, parts))
    return WhiskyFacts(
        grist=tuple(part for part in grist if part.parts_asis),
        enzymes=plant.enzymes,
        ferment_agents=plant.ferment_agents,
        country=plant.country,
        one_distillery=plant.one_distillery,
        still="batch pot" if stills else "column" if plant.column else None,
        distillation_abv_pct=_distillations(plant),
        entry_abv_pct=bench.cask.entry_abv_pct,
        stays=_stays(bench.cask, date),
        additions=bench.cask.additions,
        bottle_abv_pct=bench.cask.bottle_abv_pct,
        warehouse=bench.cask.excise_warehouse,
        one_season=bench.cask.one_season,
    )


def _distillations(plant: Plant) -> tuple[float, ...] | None:
    """The strength of the whole spirit of each run, first to last."""
    if plant.pot_stills is not None:
        return plant.pot_stills.low_wines_abv_pct, plant.pot_stills.heart_abv_pct
    if plant.column is not None:
        return plant.column.head_abv_pct, plant.column.doubler_abv_pct
    return None


def _stays(plan: CaskPlan, date: dt.date) -> tuple[CaskStay, ...]:
    """The casks of a plan one after the other, the first filled on `date`; without a day between two of them."""
    kind = plan.kind
    new = kind.fill_number == 1 and not kind.prior_contents
    moved = _moved(date, plan)
    casks = [CaskStay(kind.wood, kind.capacity_L, kind.charred, new, date, moved[0])]
    for stay, filled, emptied in zip(plan.stays, moved, moved[1:], strict=False):
        casks.append(
            CaskStay(stay.wood, stay.capacity_L, stay.charred, stay.new, filled, emptied, stay.country or None)
        )
    return tuple(casks)


def _moved(date: dt.date, plan: CaskPlan) -> list[dt.date]:
    """The day on which each cask of a plan is emptied; counted from the filling, so that months do not drift."""
    years = [plan.years, *(stay.years for stay in plan.stays)]
    return [add_months(date, round(12 * sum(years[: k + 1]))) for k in range(len(years))]


def judge(bench: ToJudge, bill: Bill, categories: Sequence[str], date: dt.date) -> tuple[CategoryAnswer, ...]:
    """The asked categories by the rules in force on `date`; the age is the planned one."""
    told = facts(bench, bill, date)
    return tuple(law.judge(key, told, date) for key in categories)


def judge_beside(
    bench: ToJudge, bill: Bill, asked: Sequence[str], markets: Sequence[str], date: dt.date
) -> tuple[CategoryAnswer, ...]:
    """The categories of the house's country and of its markets that were not asked for by name.

    None where the facts cannot be: who asks for a name is told why.
    """
    keys = [key for key in law.unasked(bench.plant.country, markets) if key not in asked]
    try:
        return judge(bench, bill, keys, date)
    except Refused:
        return ()


def law_of_change(bench: Bench, bill: Bill, now: Sequence[CategoryAnswer], change: Alteration, date: dt.date) -> str:
    """What becomes of the asked categories when a remedy is taken, in a sentence."""
    told = _changed(facts(bench.with_plant(change.of(bench.plant)), bill, date), bench, bill, change)
    then = {answer.category: law.judge(answer.category, told, date) for answer in now}
    named = {v: [a.title for a in now if then[a.category].verdict is v] for v in (Verdict.FAIL, Verdict.UNKNOWN)}
    lost = [title for a in now for title in [a.title] if a.verdict is Verdict.PASS and title in named[Verdict.FAIL]]
    if lost:
        return f"With it {', '.join(lost)} fails."
    if named[Verdict.FAIL]:
        return f"{', '.join(named[Verdict.FAIL])} fails with it as without."
    return "The categories asked stand as before."


def _changed(told: WhiskyFacts, bench: Bench, bill: Bill, change: Alteration) -> WhiskyFacts:
    """The facts with the lots of a change moved and its husks among the grist."""
    if not change.bill and not change.added_pct:
        return told
    moved = {lot: round(100.0 * points) for lot, points in change.bill}
    parts = [bill.parts_of(b.lot.lot_id) + moved.get(b.lot.lot_id, 0) for b in bench.lots]
    grist = [part for part in traits(bench.lots, parts, dry_parts(bench.lots, parts)) if part.parts_asis > 0]
    for key, pct in change.added_pct:
        material = material_named(key, at("remedy", key))
        share = round(WHOLE * pct / (100.0 + pct))
        grist = [_thinned(part, share) for part in grist]
        grist.append(GristPart(material.species, material.malted, material.form, material.process, share, share))
    return replace(told, grist=_whole(grist))


def _whole(grist: Sequence[GristPart]) -> tuple[GristPart, ...]:
    """Parts that add to the whole, as weighed and dry: what rounding left over goes to the largest."""
    most = max(range(len(grist)), key=lambda k: grist[k].parts_asis)
    dry = [part.parts_dry for part in grist if part.parts_dry is not None]
    largest = grist[most]
    over_dry = WHOLE - sum(dry) if len(dry) == len(grist) else 0
    mended = replace(
        largest,
        parts_asis=largest.parts_asis + WHOLE - sum(part.parts_asis for part in grist),
        parts_dry=None if largest.parts_dry is None else largest.parts_dry + over_dry,
    )
    return tuple(mended if k == most else part for k, part in enumerate(grist))


def _thinned(part: GristPart, share: int) -> GristPart:
    """A part of the grist with so much [0.01 %] of something else beside it."""
    left = (WHOLE - share) / WHOLE
    dry = None if part.parts_dry is None else round(part.parts_dry * left)
    return replace(part, parts_asis=round(part.parts_asis * left), parts_dry=dry)
