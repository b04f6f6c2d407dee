"""What is kept of enquiries: copied, archived, put into the bin and deleted for good. See docs/desk.md."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib.auth.models import User
from django.db import models, transaction
from django.utils import timezone

from gristwright.basics import Problem, Refused, at
from gristwright.reference.typeface import composed, spelled
from gristwright.store import versions
from gristwright.store.models import (
    AgedCasks,
    BillShare,
    CaskVersion,
    CertificateFile,
    Dosing,
    EnquiryRow,
    LotGroup,
    NamedLot,
    OfferedLot,
    Papers,
    Release,
)
from gristwright.store.models.work import OPEN

WITH_HISTORY = (NamedLot, OfferedLot, LotGroup, BillShare, Release, AgedCasks)
LONGEST_TITLE = 200


@transaction.atomic
def copy(enquiry: EnquiryRow, owner: User) -> EnquiryRow:
    """Another enquiry that asks the same, without answers, jobs and changes."""
    title = f"Copy of {enquiry}"[:LONGEST_TITLE]
    made = EnquiryRow.objects.get(pk=enquiry.pk)
    made.pk, made.owner, made.title = uuid.uuid4(), owner, title
    made.archived_at = made.binned_at = None
    made._state.adding = True
    lots = list(enquiry.named.all())
    keys = {lot.pk: uuid.uuid4() for lot in lots}
    by_text = {str(old): str(new) for old, new in keys.items()}
    made.asked = [_rekeyed(one, by_text) for one in enquiry.asked]
    made.save(force_insert=True)
    versions.keep(CaskVersion, made, versions.newest(CaskVersion, enquiry), owner)
    for lot in lots:
        _under(lot, made, pk=keys[lot.pk])
    for model in (OfferedLot, BillShare):
        for part in model.objects.filter(enquiry=enquiry):
            _under(part, made, named_id=keys[part.named_id])
    for group in enquiry.groups.all():
        _under(group, made, keys=[by_text[key] for key in group.keys if key in by_text])
    for kind in (Release, AgedCasks, Dosing, CertificateFile):
        for part in kind.objects.filter(enquiry=enquiry):
            _under(part, made)
    return made


def _rekeyed(one: dict[str, Any], keys: dict[str, str]) -> dict[str, Any]:
    """A bill asked about by the keys of a copy; a lot that is gone keeps its own, so that it is still missed."""
    return {**one, "parts": {keys.get(key, key): parts for key, parts in one["parts"].items()}}


def _under(part: Any, enquiry: EnquiryRow, **other: Any) -> Any:
    """A row like this one, with another key, under another enquiry."""
    part.pk = uuid.uuid4() if isinstance(part._meta.pk, models.UUIDField) else None
    part._state.adding = True
    for name, value in {"enquiry": enquiry, **other}.items():
        setattr(part, name, value)
    part.save(force_insert=True)
    return part


def archive(enquiry: EnquiryRow, aside: bool) -> None:
    """Out of the first list, or back onto it."""
    enquiry.archived_at = timezone.now() if aside else None
    enquiry.save(update_fields=["archived_at"])


def bin_(enquiry: EnquiryRow, aside: bool) -> None:
    """Into the bin, or out of it. Raises Refused while a job is open."""
    if aside:
        _refuse_while_busy(enquiry)
    enquiry.binned_at = timezone.now() if aside else None
    enquiry.save(update_fields=["binned_at"])


def answers_told(enquiry: EnquiryRow) -> str:
    """How many answers it has, issued ones and drafts, in words; nothing where it has none."""
    issued = Papers.objects.filter(answer__enquiry=enquiry).count()
    drafts = enquiry.answers.count() - issued
    said = [_counted(issued, "issued answer"), _counted(drafts, "draft")]
    return " and ".join(filter(None, said))


def _counted(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}" if count else ""


def delete(enquiry: EnquiryRow, title: str, with_answers: bool) -> None:
    """An enquiry in the bin for good, its history too. Raises Refused unless it is named and its answers are."""
    _refuse_while_busy(enquiry)
    problems = []
    if enquiry.binned_at is None:
        problems.append(Problem(at("enquiry"), "is not in the bin.", "Put it there first."))
    if composed(title).strip() not in (str(enquiry).strip(), spelled(str(enquiry)).strip()):
        problems.append(Problem(at("title"), f"{title!r} is not its title.", f"Write {spelled(str(enquiry))!r}."))
    told = answers_told(enquiry)
    if told and not with_answers:
        problems.append(Problem(at("answers"), f"it has {told}.", "Say that they are to be deleted with it."))
    if problems:
        raise Refused(problems)
    _delete(enquiry)


@transaction.atomic
def _delete(enquiry: EnquiryRow) -> None:
    key = enquiry.pk
    enquiry.answers.all().delete()  # each holds on to the job that found it
    enquiry.delete()
    EnquiryRow.history.filter(id=key).delete()
    for model in WITH_HISTORY:
        model.history.filter(enquiry_id=key).delete()


def _refuse_while_busy(enquiry: EnquiryRow) -> None:
    if enquiry.jobs.filter(state__in=OPEN).exists():
        way_out = "Stop it, or wait until it has ended."
        raise Refused([Problem(at("enquiry"), "a search or a mash of it is under way.", way_out)])
