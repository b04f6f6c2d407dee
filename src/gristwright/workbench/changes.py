"""The changes of an enquiry: who changed what, when, from what to what."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from django.contrib.auth.models import User

from gristwright.basics import FieldPath
from gristwright.records.bill import Share, shares_named
from gristwright.records.enquiry import CaskPlan
from gristwright.records.fields import field_at
from gristwright.records.plant import Plant
from gristwright.store.models import BillShare, CertificateFile, EnquiryRow, NamedLot, OfferedLot, PlantVersion
from gristwright.store.models.versions import Version
from gristwright.store.versions import differences
from gristwright.workbench.explaining import said_in
from gristwright.workbench.issued import answers_of
from gristwright.workbench.mending import place_of
from gristwright.workbench.record_form import label_of
from gristwright.workbench.row_history import History, Record, history_of

HUNDREDTHS = ("least_parts", "most_parts", "parts")
NOBODY = "the desk"
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
    history = history_of(enquiry)
    lines = [change for record in history.records for change in _told(record, history)]
    house = PlantVersion.objects.filter(house=enquiry.plant.house_id).select_related("by") if enquiry.plant else []
    for record, versions in ((Plant, house), (CaskPlan, enquiry.casks.select_related("by"))):
        lines += of_versions(record, list(versions))
    files = enquiry.certificate_files.select_related("sent_by").defer("received")
    lines += [change for file in files for change in _of_file(file)]
    answers = answers_of(enquiry).select_related("made_by").prefetch_related("decisions")
    lines += [change for answer in answers for change in _of_answer(answer)]
    lines += [_of_line(line) for step in enquiry.lot_steps.all() for line in step.lines]
    return sorted(lines, key=_order, reverse=True)


def _order(change: Change) -> float:
    """When it was; a moment that cannot be read any more comes last."""
    return change.when.timestamp() if change.when else 0.0


def _told(record: Record, history: History) -> Iterator[Change]:
    who, what = record.who or NOBODY, _what(record, history)
    if record.kind != "~" or record.before is None:
        if record.model is not NamedLot:  # what became of a lot is told by what brought it
            yield Change(record.when, who, what, VERBS[record.kind])
        return
    for field, *values in record.changed():
        if field.name == "asked":
            yield from _of_asked(record, who, what, values, history)
            continue
        old, new = (_shown(field.name, _in_words(field.name, value, history)) for value in values)
        yield Change(record.when, who, f"{what}: {field.verbose_name}", "changed", old, new)


def _of_asked(record: Record, who: str, what: str, values: Sequence[Any], history: History) -> Iterator[Change]:
    """Bills asked about that came in, and those that were taken out, in words."""
    old, new = ([_bill(one, history) for one in value or ()] for value in values)
    what = f"{what}: Bills asked about"
    yield from (Change(record.when, who, what, VERBS["-"], one, "") for one in old if one not in new)
    yield from (Change(record.when, who, what, VERBS["+"], "", one) for one in new if one not in old)


def _bill(one: dict[str, Any], history: History) -> str:
    shares = shares_named([Share(history.lots.get(key, "a lot"), parts) for key, parts in one["parts"].items()])
    return f"{one['name']}: {shares}" if one["name"] else shares


def _what(record: Record, history: History) -> str:
    """The row of a record in words."""
    if record.model in (OfferedLot, BillShare):
        lot = history.lots.get(str(record.values["named_id"]), "")
        return f"Lot {lot} on offer" if record.model is OfferedLot else f"Lot {lot} in today's bill"
    return str(record.row)


def _in_words(field: str, value: Any, history: History) -> Any:
    """A value in words where it is a key."""
    if field == "keys":
        return [history.lots.get(str(key), "") for key in value or ()]
    if field == "version":
        return history.certificates.get(value, value)
    return history.customers.get(str(value), value) if field == "customer" else value


def of_versions(record: type, versions: Sequence[Version]) -> Iterator[Change]:
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
    for line, said in zip(file.headings, said_in(file.headings), strict=True):
        if "who" in line:
            yield Change(_when(line), line["who"], f"{file.name}, {said.kind} {said.shown}", "explained", "", said.told)
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
    return Change(_when(line), line["who"], line.get("what") or f"Lot {line['lot']}", line["how"], "", line["by"])


def _when(told: dict[str, str]) -> dt.datetime:
    return dt.datetime.fromisoformat(told["when"])


def _name(user: User | None) -> str:
    return user.get_username() if user else NOBODY


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
