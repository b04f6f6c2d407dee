"""The simulated mash of a bill that was tried, and a map of plans around the house's own, as jobs. See docs/desk.md."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from gristwright.casework import mash_house
from gristwright.casework.bench import SpiritBench, why_of
from gristwright.casework.mash_house import grist_bench, set_out, setting_of, stands_at, with_waters
from gristwright.documents.data import as_data
from gristwright.numerics.draws import SEED
from gristwright.numerics.weights import band
from gristwright.quantities.shown import lower
from gristwright.records.bill import Bill
from gristwright.records.enquiry import BillSheet, Enquiry, SpiritEnquiry
from gristwright.records.lot import Lot
from gristwright.records.mash_trials import Axis
from gristwright.reference.house_words import for_a_brewer
from gristwright.store.frozen import canonical, sha256
from gristwright.store.models import EnquiryRow, Job, MashTrial
from gristwright.store.models.work import Kind, State
from gristwright.workbench.brewing import kettle
from gristwright.workbench.mash_view import Litres, MapPage, MashPage, map_view, mash_view
from gristwright.workbench.steps import end, ticker
from gristwright.workbench.trying import Tried, prices_of, ready
from gristwright.workbench.turns import turn

Tick = Callable[[int, int, str], None]
# Few draws of each plan of a map.
MEMBERS = 512
LITRES_A_KG = "mash.liquor_L_per_kg"


@dataclass(frozen=True)
class Steps:
    """How a map is laid around the house's plan: points each way, and from one to the next."""

    points: int = 5
    step_K: float = 2.0
    step_L_per_kg: float = 0.5


POINTS, STEPS_K, STEPS_L = (3, 5, 7), (0.5, 1.0, 2.0, 3.0), (0.1, 0.25, 0.5)


def asked_for(shares: Mapping[str, int], steps: Steps | None = None) -> dict[str, Any]:
    """What a job is asked for, as its row keeps it."""
    return {"shares": {lot: count for lot, count in shares.items() if count}, **(vars(steps) if steps else {})}


def finish(job: Job, asked: SpiritEnquiry, given: tuple[Lot, ...]) -> MashTrial:
    """The mash or the map worked out and kept in one step with the end of the job, in place of the last one."""
    wanted = dict(job.asked)
    shares = {str(lot): int(count) for lot, count in wanted.pop("shares").items()}
    bill, tick = Tried(shares, "").bill, ticker(job)
    view: MapPage | MashPage = (
        mapped(asked, given, bill, Steps(**wanted), tick) if job.kind == Kind.MAP else mashed(asked, given, bill, tick)
    )
    text, inputs = json.dumps(as_data(view), ensure_ascii=False, allow_nan=False), fingerprint(asked, given)
    with turn():
        end(job, State.DONE, [])
        MashTrial.objects.filter(enquiry=job.enquiry, kind=job.kind).delete()
        return MashTrial.objects.create(
            enquiry=job.enquiry, job=job, kind=job.kind, shares=shares, inputs_sha256=inputs, view=text
        )


def fingerprint(asked: SpiritEnquiry, given: tuple[Lot, ...]) -> str:
    """What a simulated mash rests on beside the shares: house, lots on offer, today's bill, the house's average."""
    offered = sorted(offer.lot_id for offer in asked.offered)
    return sha256(canonical([asked.plant, asked.present, asked.record, offered, list(given)]))


def sheet_of(asked: SpiritEnquiry, bill: Bill) -> BillSheet:
    """A bill of an enquiry as a sheet of its own."""
    prices, currency = prices_of(asked), asked.currency
    cask = asked.cask if isinstance(asked, Enquiry) else None
    return BillSheet(bill=bill, plant=asked.plant, cask=cask, prices=prices, currency=currency, date=asked.date,
                     purpose=asked.purpose)  # fmt: skip


def mashed(asked: SpiritEnquiry, given: tuple[Lot, ...], bill: Bill, tick: Tick) -> MashPage:
    """Litres of the bill and of today's through the simulated mash, and the course of that mash and its wash."""
    if asked.brews:
        return _brewers_mash(asked, given, bill, tick)
    tick(0, 4, "mashing today's bill")
    on = ready(asked, given)
    tick(1, 4, "mashing this bill")
    litres = litres_of(on.bench, bill, asked.present)
    tick(2, 4, "following its mash over time")
    run = mash_house.run_on(on.bench, bill)
    tick(3, 4, "following its wash over time")
    wash = mash_house.wash_on(on.bench, bill)
    tick(4, 4, "drawing them")
    return mash_view(run, litres, on.anchored, asked.plant.wort_boiled, wash)


def _brewers_mash(asked: SpiritEnquiry, given: tuple[Lot, ...], bill: Bill, tick: Tick) -> MashPage:
    """The course of a brewer's mash and fermentation; no litres are distilled from it."""
    tick(0, 3, "drawing every parameter")
    on = kettle(asked, given)
    tick(1, 3, "following its mash over time")
    run = mash_house.run_on(on.bench, bill)
    tick(2, 3, "following its fermentation over time")
    wash = mash_house.wash_on(on.bench, bill)
    tick(3, 3, "drawing them")
    return for_a_brewer(mash_view(run, None, "", boiled=True, wash=wash))


def litres_of(bench: SpiritBench, bill: Bill, present: Bill) -> Litres:
    """Litres of a bill, of today's and the change, as far as they are given."""
    this, today = (bench.made(one).spirit.lpa_per_t for one in (bill, present))
    of_this, of_today = why_of(bench, bill), why_of(bench, present)
    why = [f"Of {one.name}: {lower(w.sentence)}" for one, w in ((bill, of_this), (present, of_today)) if w]
    return Litres(
        None if of_this else band(this, bench.weights),
        None if of_today else band(today, bench.weights),
        None if why else band(this - today, bench.weights),
        tuple(dict.fromkeys(why)),
    )


def mapped(asked: SpiritEnquiry, given: tuple[Lot, ...], bill: Bill, steps: Steps, tick: Tick) -> MapPage:
    """The bill on a map of settled temperature and thickness around the house's own plan."""
    tick(0, steps.points**2, "drawing every parameter")
    sheet = sheet_of(asked, bill)
    axes = axes_around(sheet, given, steps)
    view = map_view(mash_house.vary(sheet, given, axes, MEMBERS, tick=tick))
    return for_a_brewer(view) if asked.brews else view


def axes_around(sheet: BillSheet, given: tuple[Lot, ...], steps: Steps) -> tuple[Axis, Axis]:
    """Temperature and thickness around where the plan stands. Raises Refused."""
    warm = mash_house.temperature_key(sheet.plant.mash)
    bench = grist_bench(sheet, given, MEMBERS, SEED)
    plant = with_waters(bench, sheet.bill, sheet.plant)
    thick = stands_at(plant, LITRES_A_KG)
    if thick is None:
        thick = set_out(bench, sheet.bill, bench.draws).programme.mashed_in_L_per_kg
    at = stands_at(plant, warm)
    assert at is not None
    return around(warm, at, steps.step_K, steps.points), around(LITRES_A_KG, thick, steps.step_L_per_kg, steps.points)


def around(key: str, middle: float, step: float, points: int) -> Axis:
    """An axis of so many points around the middle, as far as the limits of its setting go."""
    setting = setting_of(key)
    low, high = setting.limits
    # A value that came out of a calculation has too many digits to be read on a scale.
    centre = round(middle, 2)
    values = (round(centre + step * (k - points // 2), 6) for k in range(points))
    return Axis(key, setting, tuple(value for value in values if low <= value <= high))


def last_trials(enquiry: EnquiryRow, whole: bool = True) -> dict[str, MashTrial]:
    """The mash and the map kept of an enquiry, by kind; unless `whole`, what they say is not fetched."""
    kept = enquiry.mash_trials.all() if whole else enquiry.mash_trials.defer("view")
    return {trial.kind: trial for trial in kept}
