"""A question begun at the desk: about a house that is known or a new one, with certificates where there are some."""

from __future__ import annotations

import uuid
from collections.abc import Mapping

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from gristwright.basics import Problem, Refused
from gristwright.store.models import EnquiryRow, PlantVersion
from gristwright.store.versions import point_at
from gristwright.workbench import certificates, starting, taking
from gristwright.workbench.order_of_work import OPEN, order_of_work


@transaction.atomic
def begin(title: str, house: str, files: Mapping[str, bytes], owner: User) -> tuple[EnquiryRow, list[str]]:
    """An enquiry with what is known already; what was done with each file, in sentences. Raises Refused.

    The lots of a file without a fault are taken over; one with faults waits to be mended.
    """
    row = starting.empty(title or f"Enquiry of {_today()}", owner)
    if house:
        point_at(row, _newest_of(house))
    return row, [said for name, content in files.items() for said in _taken(row, name, content, owner)]


def _today() -> str:
    day = timezone.localdate()
    return f"{day.day} {day:%B %Y}"


def _newest_of(house: str) -> PlantVersion:
    try:
        version = PlantVersion.objects.filter(house_id=uuid.UUID(house)).last()
    except ValueError:
        version = None
    if version is None:
        raise Refused([Problem("The house", "is not one of this desk.", "Choose another one, or a new one.")])
    return version


def _taken(row: EnquiryRow, name: str, content: bytes, owner: User) -> list[str]:
    file = certificates.receive(row, name, content, owner)
    if not certificates.read(file).sound:
        return [f"{file.name} was kept and has faults to mend before its lots are taken over."]
    try:
        return list(taking.add(file, {}, owner.get_username()))
    except Refused:
        return [f"{file.name} was kept; say under Lots what is to become of a lot that is here already."]


def next_page(enquiry: EnquiryRow) -> str:
    """The first page on which something is missing; the bill where nothing is."""
    return next((step.page for step in order_of_work(enquiry) if step.sign == OPEN), "bill")
