"""The changes of an enquiry: who changed what, when, from what to what."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from django.contrib.auth.models import User

from gristwright.basics import FieldPath
from gristwright.records.enquiry import CaskPlan
from gristwright.records.fields import field_at
from gristwright.records.plant import Plant
from gristwright.store.models import (
    AgedCasks,
    BillShare,
    CertificateFile,
    Customer,
    EnquiryRow,
    LotGroup,
    LotVersion,
    NamedLot,
    OfferedLot,
    Release,
)
from gristwright.store.models.versions import Version
from gristwright.store.versions import differences
from gristwright.workbench.issued import answers_of
from gristwright.workbench.mending import place_of
from gristwright.workbench.record_form import label_of

MOST = 300
HUNDREDTHS = ("least_parts", "most_parts", "parts")
VERBS = {"+": "added", "-": "taken out", "~": "changed"}


@dataclass(frozen=True)
class Change:
    """One line of the history."""

    when: dt.datetime
    who: str
    what: str
    verb: str
    old: str = ""
    new: str = ""


def changes(enquiry: EnquiryRow) -> list[Change]:
    """Everything that was changed, the newest first."""
    called = _Called.in_history_of(enquiry)
    lines = [change for record in _records(enquiry) for change in _told(record, called)]
    house = enquiry.plant.house.versions.select_related("by") if enquiry.plant else []
    for record, versions in ((Plant, house), (CaskPlan, enquiry.casks.select_related("by"))):
        lines += _of_versions(record, list(versions))
    lines += [change for file in enquiry.certificate_files.all() for change in _of_file(file)]
    lines += [change for answer in answers_of(enquiry).prefetch_related("decisions") for change in _of_answer(answer)]
    lines += [_of_line(line) for step in enquiry.lot_steps.all() for line in step.lines]
    return sorted(lines, key=lambda change: change.when, reverse=True)[:MOST]


def _records(enquiry: EnquiryRow) -> Iterator[Any]:
    yield from EnquiryRow.history.filter(id=enquiry.pk).select_related("history_user")
    for model in (NamedLot, OfferedLot, LotGroup, BillShare, Release, AgedCasks):
        yield from model.history.filter(enquiry_id=enquiry.pk).select_related("history_user")


@dataclass(frozen=True)
class _Called:
    """What keys in the history stand for: names of lots, also of those that are gone, certificates, customers."""

    lots: dict[str, str]
    certificates: dict[int, str]
    customers: dict[str, str]

    @classmethod
    def in_history_of(cls, enquiry: EnquiryRow) -> _Called:
        """The names of everything that an enquiry has ever pointed at."""
        told = NamedLot.history.filter(enquiry_id=enquiry.pk).order_by("history_date", "history_id")
        now = enquiry.named.values_list("pk", "name")
        lots = {str(key): name for key, name in [*told.values_list("id", "name"), *now]}
        versions = LotVersion.objects.filter(pk__in=told.values("version_id")).select_related("lot")
        past = EnquiryRow.history.filter(id=enquiry.pk).exclude(customer=None).values("customer_id")
        customers = {str(one.pk): one.name for one in Customer.objects.filter(pk__in=past)}
        return cls(lots, {version.pk: str(version) for version in versions}, customers)

    def what(self, record: Any) -> str:
        """The row of a history line in words."""
        if isinstance(record.instance, OfferedLot | BillShare):
            lot = self.lots.get(str(record.named_id), "")
            return f"Lot {lot} on offer" if isinstance(record.instance, OfferedLot) else f"Lot {lot} in today's bill"
        return str(record.instance)

    def value(self, field: str, value: Any) -> Any:
        """A value in words where it is a key."""
        if field == "keys":
            return [self.lots.get(str(key), "") for key in value or ()]
        if field == "version":
            return self.certificates.get(value, value)
        return self.customers.get(str(value), value) if field == "customer" else value


def _told(record: Any, called: _Called) -> Iterator[Change]:
    before = record.prev_record if record.history_type == "~" else None
    who, what = _name(record.history_user), called.what(record)
    if before is None:
        if not isinstance(record.instance, NamedLot):  # what became of a lot is told by what brought it
            yield Change(record.history_date, who, what, VERBS[record.history_type])
        return
    for change in record.diff_against(before).changes:
        label = str(record.instance._meta.get_field(change.field).verbose_name)
        old, new = (_shown(change.field, called.value(change.field, value)) for value in (change.old, change.new))
        yield Change(record.history_date, who, f"{what}: {label}", "changed", old, new)


def _of_versions(record: type, versions: Sequence[Version]) -> Iterator[Change]:
    """Field by field what each version of a document says otherwise than the one before it."""
    for version in versions[:1]:
        yield Change(version.at, _name(version.by), str(version), VERBS["+"])
    for before, version in pairwise(versions):
        for path, old, new in differences(before.document, version.document):
            what = f"{version}: {label_of(record, path)}"
            said = (usual(record, path) if value is None else value for value in (old, new))
            texts = (_shown(str(path[-1]), value) for value in said)
            yield Change(version.at, _name(version.by), what, "changed", *texts)


def usual(record: type, path: FieldPath) -> Any:
    """What a field has when nothing is said in it."""
    field = field_at(record, path)
    return None if field is None or field.needed else field.default


def _of_file(file: CertificateFile) -> Iterator[Change]:
    who = _name(file.sent_by)
    yield Change(file.sent_at, who, f"Certificates {file.name}", "sent")
    taken_at = file.taken_at or (_when(file.taken[-1]) if file.taken else None)
    if taken_at:
        yield Change(taken_at, who, f"Certificates {file.name}", "taken over", "", file.sha256[:12])
    for done in file.taken:
        yield _of_line(done)
    for mend in file.mends:
        place = place_of(mend["cell"])
        what = place.of(file.name).words if place else file.name
        yield Change(_when(mend), mend["who"], what, "mended", mend["from"], mend["to"])


def _of_answer(answer: Any) -> Iterator[Change]:
    yield Change(answer.made_at, _name(answer.made_by), "Answer", "drafted", "", answer.fingerprint)
    for step in answer.decisions.all():
        yield Change(step.at, step.who, f"Answer {answer.fingerprint}", step.kind, "", step.note)


def _of_line(line: dict[str, str]) -> Change:
    """A line kept with a file or a step: what was done to a lot."""
    return Change(_when(line), line["who"], f"Lot {line['lot']}", line["how"], "", line["by"])


def _when(told: dict[str, str]) -> dt.datetime:
    return dt.datetime.fromisoformat(told["when"])


def _name(user: User | None) -> str:
    return user.get_username() if user else "the desk"


def _shown(field: str, value: Any) -> str:
    if field in HUNDREDTHS and isinstance(value, int):
        return f"{value / 100:g} %"
    if isinstance(value, dt.datetime):
        return f"{value:%Y-%m-%d %H:%M}"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.12g}"
    if isinstance(value, list | tuple):
        return ", ".join(str(item) for item in value) or "nothing"
    return "nothing" if value in (None, "") else str(value)
