"""What was done to the lots of an enquiry, and undoing it: what changed since stays and is told. See docs/desk.md."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.utils import timezone

from gristwright.store.models import CertificateFile, EnquiryRow, LotStep, NamedLot
from gristwright.workbench.hanging import Hanging, call, delete_lot, hanging, put_back, told_of
from gristwright.workbench.turns import turn

# How many steps a page shows; all stay under Changes.
SHOWN = 5
Lots = Mapping[str, Mapping[str, Any]]


@dataclass
class Plan:
    """What undoing a step does now: lots that are deleted again, that are as they were, that come back, that stay."""

    gone: list[Mapping[str, Any]] = field(default_factory=list)
    as_before: list[Mapping[str, Any]] = field(default_factory=list)
    back: list[Mapping[str, Any]] = field(default_factory=list)
    stays: dict[str, str] = field(default_factory=dict)  # key -> why

    @property
    def undone(self) -> bool:
        """Whether anything is undone at all."""
        return bool(self.gone or self.as_before or self.back)


@dataclass(frozen=True)
class StepShown:
    """A step as a page shows it: what was done, and what undoing it would do."""

    step: LotStep
    will: tuple[str, ...]
    stays: tuple[str, ...]


def standing(enquiry: EnquiryRow) -> Lots:
    """Every lot as it is named and certified now, by its key, with what hangs on it."""
    hung = hanging(enquiry)
    return {
        str(lot.pk): {"key": str(lot.pk), "name": lot.name, "place": lot.place, "version": lot.version_id,
                      **hung.on(str(lot.pk))}
        for lot in enquiry.named.all()
    }  # fmt: skip


def record(
    enquiry: EnquiryRow, who: str, told: Sequence[str], before: Lots, lines: Sequence[Mapping[str, str]] = ()
) -> LotStep:
    """Keep what was done since the lots stood as `before`, in words and so that it can be undone."""
    now = {str(lot.pk): lot for lot in enquiry.named.all()}
    same = {key for key, lot in now.items() if key in before and _is(lot, before[key])}
    came = [{"key": key, "name": lot.name, "version": lot.version_id} for key, lot in now.items() if key not in same]
    went = [dict(one) for key, one in before.items() if key not in same]
    # The very same certificate again changes nothing that could be undone.
    nothing = None if came or went else timezone.now()
    return LotStep.objects.create(
        enquiry=enquiry, told=list(told), lines=signed(lines, who), went=went, came=came, by=who, undone_at=nothing
    )


def _is(lot: NamedLot, was: Mapping[str, Any]) -> bool:
    """Whether a lot has the name and the certificate that it had."""
    return (lot.name, lot.version_id) == (was["name"], was["version"])


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
    lots, hung = list(enquiry.named.all()), hanging(enquiry)
    return tuple(_shown(step, plan(step, lots, hung), hung) for step in chosen)


def _shown(step: LotStep, planned: Plan, hung: Hanging) -> StepShown:
    """What undoing would do, before it is done."""
    will = []
    if planned.gone:
        drags = [f"{one['name']} with {_listed(what)}" for one in planned.gone if (what := _said_of(one, hung))]
        also = f": {'; '.join(drags)}" if drags else ""
        will.append(f"{_names(planned.gone)} will be deleted again{also}.")
    if planned.as_before or planned.back:
        will.append(f"{_names([*planned.as_before, *planned.back])} will be back as it was before.")
    return StepShown(step, tuple(will), tuple(planned.stays.values()))


def _names(lots: Sequence[Mapping[str, Any]]) -> str:
    return _listed([one["name"] for one in lots])


def _said_of(one: Mapping[str, Any], hung: Hanging) -> list[str]:
    """What hangs on a lot that is to be deleted again, but for an offer that nobody gave a price."""
    on = hung.on(one["key"])
    priced = on["offer"] and on["offer"]["price_per_t"] is not None
    return told_of(on if priced else {**on, "offer": None}, hung.currency, 0)


def _listed(names: Sequence[str]) -> str:
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last


def plan(step: LotStep, lots: Sequence[NamedLot], hung: Hanging) -> Plan:
    """What undoing the step does to the lots as they are now."""
    planned, now = Plan(), {str(lot.pk): lot for lot in lots}
    went = {one["key"]: one for one in step.went}
    for one in step.came:
        why = _why_it_stays(one, went.get(one["key"]), now, hung)
        if why:
            planned.stays[one["key"]] = why
        elif one["key"] in went:
            planned.as_before.append(went[one["key"]])
        else:
            planned.gone.append(one)
    came = {one["key"] for one in step.came}
    for key, one in went.items():
        if key not in came and _taken(one, now):
            name = one["name"]
            planned.stays[key] = f"{name} cannot come back: another lot goes by that name now. Rename that one first."
        elif key not in came:
            planned.back.append(one)
    return planned


def _why_it_stays(
    one: Mapping[str, Any], before: Mapping[str, Any] | None, now: Mapping[str, NamedLot], hung: Hanging
) -> str:
    """Why a lot that came by a step cannot go again, or be as it was before; nothing when it can."""
    lot, name = now.get(one["key"]), one["name"]
    if lot is None:
        return f"{name} was deleted since; undo that first."
    if not _is(lot, one):
        return f"{name} was changed since, so it stays as it is; undo that first."
    if before is not None and _taken(before, now):
        return f"{name} cannot be {before['name']} again: another lot goes by that name now."
    if before is None and hung.parts(one["key"]):
        what = "is in today's bill, so it stays."
        return f"{name} {what} Take it out of today's bill under On offer, then undo this again."
    if before is None and hung.held(one["key"]):
        bills = _listed([f"“{bill}”" for bill, _ in hung.held(one["key"])])
        return f"{name} is in {bills}, asked about, so it stays. Take that out under Bill, then undo this again."
    return ""


def _taken(one: Mapping[str, Any], now: Mapping[str, NamedLot]) -> bool:
    """Whether another lot goes by its name now."""
    return any(lot.name == one["name"] and key != one["key"] for key, lot in now.items())


@turn()
def undo(sent: LotStep, who: str) -> tuple[list[str], list[str]]:
    """Undo a step as far as nothing changed since; what was done, and what stays and why, in sentences."""
    step = LotStep.objects.get(pk=sent.pk)
    if step.undone_at:
        return [], ["This was undone already."]
    hung = hanging(step.enquiry)
    planned = plan(step, list(step.enquiry.named.all()), hung)
    done = _done(planned, hung)
    if planned.undone:
        _do(step.enquiry, planned)
        _tell(step, planned, who)
    return done, list(planned.stays.values())


def _done(planned: Plan, hung: Hanging) -> list[str]:
    """What is done, in sentences, before it is."""
    said = []
    for one in planned.gone:
        what = _said_of(one, hung)
        said.append(f"{one['name']} deleted again{', with ' + _listed(what) if what else ''}.")
    said += [f"{one['name']} is back as it was." for one in planned.as_before]
    for one in planned.back:
        drags = [text for key, text in DRAGGED if one.get(key)]
        said.append(f"{one['name']} is back as it was{', with ' + _listed(drags) if drags else ''}.")
    return said


DRAGGED = (("offer", "its offer"), ("share", "its share of today's bill"), ("groups", "its groups"),
           ("asked", "its part of what is asked about"))  # fmt: skip


def _do(enquiry: EnquiryRow, planned: Plan) -> None:
    for one in planned.gone:
        delete_lot(enquiry, enquiry.named.get(pk=one["key"]))
    for one in planned.as_before:
        named = enquiry.named.get(pk=one["key"])
        named.version_id = one["version"]
        call(named, one["name"])
    for one in planned.back:
        named = NamedLot.objects.create(
            id=one["key"], enquiry=enquiry, name=one["name"], place=one["place"], version_id=one["version"]
        )
        put_back(named, one)


def _tell(step: LotStep, planned: Plan, who: str) -> None:
    """What is left of the step, and its lines in the history."""
    lines = [{"lot": one["name"], "how": "deleted, by Undo", "by": str(step)} for one in planned.gone]
    back = [*planned.as_before, *planned.back]
    lines += [{"lot": one["name"], "how": "put back, by Undo", "by": str(step)} for one in back]
    step.lines = [*step.lines, *signed(lines, who)]
    step.went = [one for one in step.went if one["key"] in planned.stays]
    step.came = [one for one in step.came if one["key"] in planned.stays]
    step.undone_at = None if step.went or step.came else timezone.now()
    step.save(update_fields=["lines", "went", "came", "undone_at"])
    if step.undone_at and step.file and not step.file.steps.filter(undone_at=None).exists():
        step.file.taken_at = None
        step.file.save(update_fields=["taken_at"])
