"""What is kept of enquiries: copied, archived, put into the bin and deleted for good. See docs/desk.md."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from typing import Any

from django.contrib.auth.models import User
from django.db import models, transaction
from django.utils import timezone

from gristwright.basics import Problem, Refused, at
from gristwright.reference.typeface import composed
from gristwright.store import versions
from gristwright.store.models import (
    AgedCasks,
    Answer,
    BillShare,
    CaskVersion,
    EnquiryRow,
    Job,
    LotGroup,
    MashTrial,
    OfferedLot,
    PlantVersion,
    Release,
)
from gristwright.store.models.work import OPEN

# What a copy does not take along; of the versions of house and cask it takes the newest.
LEFT = (Answer, Job, MashTrial, PlantVersion, CaskVersion)
WITH_HISTORY = (OfferedLot, LotGroup, BillShare, Release, AgedCasks)
LONGEST_TITLE = 200


@transaction.atomic
def copy(enquiry: EnquiryRow, owner: User) -> EnquiryRow:
    """Another enquiry that asks the same, without answers, jobs and changes."""
    title = f"Copy of {enquiry}"[:LONGEST_TITLE]
    made = EnquiryRow.objects.get(pk=enquiry.pk)
    made.pk, made.owner, made.title = uuid.uuid4(), owner, title
    made.archived_at = made.binned_at = None
    made._state.adding = True
    made.save(force_insert=True)
    for kind in (PlantVersion, CaskVersion):
        versions.keep(kind, made, versions.newest(kind, enquiry), owner)
    _copy_parts(enquiry, made)
    return made


def _copy_parts(whole: models.Model, made: models.Model) -> None:
    """Everything that belongs to a row, and what belongs to that, under another one."""
    for field, part in list(_parts(whole)):
        source = type(part)._default_manager.get(pk=part.pk)
        part.pk = uuid.uuid4() if isinstance(part._meta.pk, models.UUIDField) else None
        part._state.adding = True
        setattr(part, field, made)
        part.save(force_insert=True)
        _copy_parts(source, part)


def _parts(whole: models.Model) -> Iterator[tuple[str, Any]]:
    """Rows that point at this one, each with the field by which it does."""
    for relation in whole._meta.related_objects:
        model, field = relation.related_model, relation.field.name
        if model not in LEFT:
            for part in model._default_manager.filter(**{field: whole}):  # type: ignore[union-attr]
                yield field, part


def archive(enquiry: EnquiryRow, aside: bool) -> None:
    """Out of the first list, or back onto it."""
    enquiry.archived_at = timezone.now() if aside else None
    enquiry.save()


def bin_(enquiry: EnquiryRow, aside: bool) -> None:
    """Into the bin, or out of it. Raises Refused while a job is open."""
    if aside:
        _refuse_while_busy(enquiry)
    enquiry.binned_at = timezone.now() if aside else None
    enquiry.save()


def answers_told(enquiry: EnquiryRow) -> str:
    """How many answers were issued, in words; nothing where none was."""
    count = enquiry.answers.count()
    return f"{count} issued answer{'' if count == 1 else 's'}" if count else ""


def delete(enquiry: EnquiryRow, title: str, with_answers: bool) -> None:
    """An enquiry in the bin for good, its history too. Raises Refused unless it is named and its answers are."""
    _refuse_while_busy(enquiry)
    problems = []
    if enquiry.binned_at is None:
        problems.append(Problem(at("enquiry"), "is not in the bin.", "Put it there first."))
    if composed(title).strip() != str(enquiry).strip():
        problems.append(Problem(at("title"), f"{title!r} is not its title.", f"Write {str(enquiry)!r}."))
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
