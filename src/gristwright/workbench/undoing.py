"""What was done to the lots of an enquiry, and undoing it: what changed since stays and is told. See docs/desk.md."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.utils import timezone

from gristwright.records.lot import Lot
from gristwright.store.mapping import lot_records, save_lots
from gristwright.store.models import CertificateFile, EnquiryRow, LotStep
from gristwright.workbench import lot_data
from gristwright.workbench.turns import turn

# How many steps a page shows; all stay under Changes.
SHOWN = 5


@dataclass
class Plan:
    """What undoing a step does now: the lots as they will stand, what is put back, deleted again, and what stays."""

    lots: list[Lot]
    back: list[dict[str, Any]] = field(default_factory=list)
    gone: list[str] = field(default_factory=list)
    stays: dict[str, str] = field(default_factory=dict)  # name -> why

    @property
    def names(self) -> list[str]:
        """Names of the lots."""
        return [lot.lot_id for lot in self.lots]


@dataclass(frozen=True)
class StepShown:
    """A step as a page shows it: what was done, and what undoing it would do."""

    step: LotStep
    will: tuple[str, ...]
    stays: tuple[str, ...]


def record(
    enquiry: EnquiryRow,
    who: str,
    told: Sequence[str],
    *,
    went: Sequence[Mapping[str, Any]] = (),
    came: Collection[str] = (),
    lines: Sequence[Mapping[str, str]] = (),
) -> LotStep:
    """Keep what was done: lots that went as `going` had them before, and the names of those that came."""
    fresh = [
        {"name": lot.lot_id, "sha256": lot_data.fingerprint(lot)}
        for lot in (lot_records(enquiry) if came else ())
        if lot.lot_id in came
    ]
    return LotStep.objects.create(
        enquiry=enquiry, told=list(told), lines=signed(lines, who),
        went=[dict(one) for one in went], came=fresh, by=who,
    )  # fmt: skip


def going(enquiry: EnquiryRow, names: Collection[str]) -> list[dict[str, Any]]:
    """Lots that are about to go or to be replaced, each with its place and all that hangs on it."""
    hung = lot_data.hanging(enquiry) if names else None
    return [
        {"name": lot.lot_id, "place": place, "lot": lot_data.lot_data(lot), **hung.on(lot.lot_id)}
        for place, lot in enumerate(lot_records(enquiry) if hung else ())
        if hung and lot.lot_id in names
    ]


def signed(lines: Sequence[Mapping[str, str]], who: str) -> list[dict[str, str]]:
    """Lines of the history with who did it, now."""
    now = timezone.now().isoformat()
    return [{**line, "who": who, "when": now} for line in lines]


def steps_of(enquiry: EnquiryRow, file: CertificateFile | None = None) -> tuple[StepShown, ...]:
    """The last steps that can be undone, the newest first; of one file where it is given."""
    rows = enquiry.lot_steps.filter(undone_at=None)
    chosen = list((rows.filter(file=file) if file else rows)[:SHOWN])
    if not chosen:
        return ()
    kept, hung = lot_records(enquiry), lot_data.hanging(enquiry)
    return tuple(_shown(step, plan(step, kept, hung), hung) for step in chosen)


def _shown(step: LotStep, planned: Plan, hung: lot_data.Hanging) -> StepShown:
    """What undoing would do, before it is done."""
    will = []
    if planned.gone:
        drags = [f"{name} with {_listed(what)}" for name in planned.gone if (what := _said_of(name, hung))]
        also = f": {'; '.join(drags)}" if drags else ""
        will.append(f"{_listed(planned.gone)} will be deleted again{also}.")
    if planned.back:
        will.append(f"{_listed([one['name'] for one in planned.back])} will be back as it was before.")
    return StepShown(step, tuple(will), tuple(planned.stays.values()))


def _said_of(name: str, hung: lot_data.Hanging) -> list[str]:
    """What hangs on a lot that is to be deleted again, but for an offer that nobody gave a price."""
    on = hung.on(name)
    priced = on["offer"] and on["offer"]["price_per_t"] is not None
    return lot_data.told_of(on if priced else {**on, "offer": None}, hung.currency, 0)


def _listed(names: Sequence[str]) -> str:
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last


def plan(step: LotStep, kept: Sequence[Lot], hung: lot_data.Hanging) -> Plan:
    """What undoing the step does to the lots as they are kept now."""
    planned = Plan(list(kept))
    went = {_became(one): one for one in step.went}
    came = {one["name"]: one["sha256"] for one in step.came}
    for name, digest in came.items():
        _undo_came(hung, planned, name, digest, went.get(name))
    for name, one in went.items():
        if name not in came:
            _undo_went(planned, name, one)
    return planned


def _became(one: Mapping[str, Any]) -> str:
    """What a lot that went is called now: its name, or the one it was given in its place."""
    return str(one.get("became") or one["name"])


def _undo_came(hung: lot_data.Hanging, planned: Plan, name: str, digest: str, before: dict[str, Any] | None) -> None:
    place = planned.names.index(name) if name in planned.names else None
    if place is None:
        planned.stays[name] = f"{name} was deleted since; undo that first."
    elif lot_data.fingerprint(planned.lots[place]) != digest:
        planned.stays[name] = f"{name} was changed since, so it stays as it is; undo that first."
    elif before and before["name"] != name and before["name"] in planned.names:
        planned.stays[name] = f"{name} cannot be {before['name']} again: another lot goes by that name now."
    elif before:
        planned.lots[place] = lot_data.lot_from(before["lot"])
        planned.back.append(before)
    elif hung.parts(name):
        what = "is in today's bill, so it stays."
        planned.stays[name] = f"{name} {what} Take it out of today's bill under On offer, then undo this again."
    else:
        del planned.lots[place]
        planned.gone.append(name)


def _undo_went(planned: Plan, name: str, one: dict[str, Any]) -> None:
    if name in planned.names:
        planned.stays[name] = f"{name} cannot come back: another lot goes by that name now. Rename that one first."
        return
    planned.lots.insert(min(one["place"], len(planned.lots)), lot_data.lot_from(one["lot"]))
    planned.back.append(one)


@turn()
def undo(sent: LotStep, who: str) -> tuple[list[str], list[str]]:
    """Undo a step as far as nothing changed since; what was done, and what stays and why, in sentences."""
    step = LotStep.objects.get(pk=sent.pk)
    if step.undone_at:
        return [], ["This was undone already."]
    hung = lot_data.hanging(step.enquiry)
    planned = plan(step, lot_records(step.enquiry), hung)
    done = _done(step, planned, hung)
    if done:
        save_lots(step.enquiry, planned.lots)
        _hang(step, planned)
        _tell(step, planned, who)
    return done, list(planned.stays.values())


def _done(step: LotStep, planned: Plan, hung: lot_data.Hanging) -> list[str]:
    """What is done, in sentences, before it is."""
    said = []
    for name in planned.gone:
        what = _said_of(name, hung)
        said.append(f"{name} deleted again{', with ' + _listed(what) if what else ''}.")
    came = {one["name"] for one in step.came}
    for one in planned.back:
        drags = [] if _became(one) in came else _dragged(one)
        said.append(f"{one['name']} is back as it was{', with ' + _listed(drags) if drags else ''}.")
    return said


def _dragged(one: Mapping[str, Any]) -> list[str]:
    words = [("offer", "its offer"), ("share", "its share of today's bill"), ("groups", "its groups")]
    return [text for key, text in words if one[key]]


def _hang(step: LotStep, planned: Plan) -> None:
    for name in planned.gone:
        lot_data.taken_off(step.enquiry, name)
    came = {one["name"] for one in step.came}
    for one in planned.back:
        # What hangs on a lot that was replaced never went.
        if _became(one) not in came:
            lot_data.put_on(step.enquiry, one["name"], one)
        elif _became(one) != one["name"]:
            lot_data.renamed(step.enquiry, _became(one), one["name"])


def _tell(step: LotStep, planned: Plan, who: str) -> None:
    """What is left of the step, and its lines in the history."""
    lines = [{"lot": name, "how": "deleted, by Undo", "by": str(step)} for name in planned.gone]
    lines += [{"lot": one["name"], "how": "put back, by Undo", "by": str(step)} for one in planned.back]
    step.lines = [*step.lines, *signed(lines, who)]
    step.went = [one for one in step.went if _became(one) in planned.stays]
    step.came = [one for one in step.came if one["name"] in planned.stays]
    step.undone_at = None if step.went or step.came else timezone.now()
    step.save()
    if step.undone_at and step.file and not step.file.steps.filter(undone_at=None).exists():
        step.file.taken_at = None
        step.file.save(update_fields=["taken_at"])
