"""A new enquiry from files, from the example, or empty. Nothing is kept unless all of it could be read."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Mapping
from importlib import resources
from pathlib import Path
from typing import Any

from django.contrib.auth.models import User
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.utils import timezone

from gristwright.basics import Address, Problem, Refused, at, refuse_if_any
from gristwright.casework.bench import all_problems
from gristwright.files.certificates import doubles, map_folders, read_lots
from gristwright.files.jobs_in import read_enquiry
from gristwright.files.opened import MOST_BYTES
from gristwright.files.texts import named, text_problems
from gristwright.files.toml_in import parsed
from gristwright.files.zip_in import unpacked
from gristwright.quantities.units import begun
from gristwright.reference.typeface import composed
from gristwright.store.mapping import save_enquiry
from gristwright.store.models import EnquiryRow
from gristwright.workbench import room

EXAMPLE = ("enquiry.toml", "plant.toml", "bill.toml", "lots.csv")


def from_example(owner: User) -> EnquiryRow:
    """The invented example that comes with the desk."""
    folder = resources.files("gristwright.workbench") / "example"
    return from_files({name: (folder / name).read_bytes() for name in EXAMPLE}, owner)


def as_before(owner: User) -> dict[str, Any]:
    """Today's date, and adviser and currency as of the last enquiry; an invented one has no adviser of ours."""
    last = EnquiryRow.objects.order_by("-made_at").values_list("adviser", "currency", "invented")
    adviser = next((name for name, _, invented in last if name and not invented), owner.get_username())
    currency = next((currency for _, currency, _ in last if currency), "")
    return {"date": timezone.localdate(), "adviser": adviser, "currency": currency}


@transaction.atomic
def empty(title: str, owner: User) -> EnquiryRow:
    """An enquiry with a title and what goes without saying; its pages say what is missing. Raises Refused."""
    refuse_if_any(text_problems(title, "title"))
    named = composed(title).strip()[:200] or "New enquiry"
    return EnquiryRow.objects.create(title=named, owner=owner, **as_before(owner))


def from_files(sent: Mapping[str, bytes], owner: User) -> EnquiryRow:
    """An enquiry file with the plant and bill files it names, and lots if they are there. Raises Refused."""
    sent = out_of_zips(sent)
    with tempfile.TemporaryDirectory(prefix="gristwright-sent-") as name:
        folder = Path(name)
        for file, content in sent.items():
            (folder / file).write_bytes(content)
        enquiry = _enquiry_among(sent)
        reading = read_enquiry(folder / enquiry)
        if not _parsed(sent[enquiry]):  # nobody knows then which of the tables are of lots
            reading.accepted()
        casks = claim_files(sent)
        tables = [
            file
            for file in sent
            if file not in casks and (not file.lower().endswith(".toml") or kind_of(sent[file]) == "lots")
        ]
        certificates = [read_lots(folder / table, folders=map_folders(folder / table)[1:]) for table in tables]
    lots = [lot for read in certificates for lot in read.value or ()]
    problems = [*reading.problems, *(problem for read in certificates for problem in read.problems), *doubles(lots)]
    problems += [*room.lots_problems(0, len(lots)), *room.name_problems(lots)]
    if any(not problem.warning for problem in problems):
        # Of a file that could not be read at all nobody knows which lots are missing.
        known = lots if all(read.value is not None for read in certificates) else None
        also = all_problems(reading.value, known) if certificates else []
        raise Refused(list(dict.fromkeys([*problems, *also])))
    with transaction.atomic():
        made = save_enquiry(reading.accepted(), lots, owner)
        rows = [(made, at("question")), *((group, at("group", begun(group.name))) for group in made.groups.all())]
        customer = [(made.customer, at("question", "customer"))] if made.customer else []
        refuse_if_any([problem for row, where in (*rows, *customer) for problem in room.row_problems(row, where)])
    return made


def kind_of(content: bytes) -> str:
    """Which kind of our files a TOML text says it is; nothing when it does not say or cannot be read."""
    return str(_parsed(content).get("format", "")).partition("/")[0].removeprefix("gristwright.")


def _parsed(content: bytes) -> dict[str, Any]:
    try:
        return parsed("", content.decode("utf-8-sig"))
    except (UnicodeDecodeError, Refused):  # told with its place when it is read as what it is
        return {}


def claim_files(sent: Mapping[str, bytes]) -> tuple[str, ...]:
    """The two tables of casks that the enquiry's claim names, none where it makes no claim."""
    tops = [_parsed(content) for file, content in sent.items() if kind_of(content) == "enquiry"]
    claim = tops[0].get("claim") if tops else None
    if not isinstance(claim, dict) or not claim:
        return ()
    return tuple(str(claim.get(name, f"{name}.csv")) for name in ("ladder", "arms"))


def _enquiry_among(sent: Mapping[str, bytes]) -> str:
    """The enquiry file, which may name only files that were sent with it."""
    named = [file for file in sent if file.lower().endswith(".toml")]
    enquiries = [file for file in named if kind_of(sent[file]) == "enquiry"] or [
        f for f in named if "enquiry" in f.lower()
    ]
    if not enquiries:
        way_out = 'Send the file that begins with format = "gristwright.enquiry/2" with its plant and bill.'
        raise Refused([Problem("files", "there is no enquiry among them.", way_out)])
    top = _parsed(sent[enquiries[0]])
    present = top.get("present", "bill.toml")
    bill = present.get("bill", "bill.toml") if isinstance(present, dict) else present  # the table is of version 1
    wanted = (top.get("plant", "plant.toml"), bill, *_asked_files(top), *claim_files(sent))
    missing = [file for file in wanted if file not in sent]
    if missing:
        raise Refused(
            [Problem(Address(enquiries[0]), f"names {file!r}, which was not sent.", "Send it too.") for file in missing]
        )
    return enquiries[0]


def _asked_files(top: Mapping[str, Any]) -> list[str]:
    """The bill files that the enquiry asks about."""
    asked = top.get("asked")
    named = [one.get("bill") for one in asked if isinstance(one, dict)] if isinstance(asked, list) else []
    return [file for file in named if isinstance(file, str)]


def sent_files(files: Iterable[UploadedFile[bytes]]) -> dict[str, bytes]:
    """Uploaded files by bare name. Raises Refused for one that is too large and for two of one name."""
    by_name: dict[str, bytes] = {}
    problems = []
    for file in files:
        name = Path((file.name or "").replace("\\", "/")).name
        shown = Address(named(begun(name)))
        if wrong := room.sent_name_problems(name):
            problems += wrong
        elif (file.size or 0) > MOST_BYTES:
            what = f"is larger than {MOST_BYTES // 1_000_000} MB."
            problems.append(Problem(shown, what, "Send the tables alone."))
        elif name in by_name:
            problems.append(Problem(shown, "was sent twice.", "Send it once."))
        else:
            by_name[name] = file.read()
    if problems:
        raise Refused(problems)
    if not by_name:
        raise Refused([Problem("files", "none was chosen.", "Choose the files first.")])
    return by_name


def out_of_zips(sent: Mapping[str, bytes]) -> dict[str, bytes]:
    """Files as they were sent, those of a ZIP in its place. Raises Refused for a ZIP that cannot be used."""
    by_name: dict[str, bytes] = {}
    problems: list[Problem] = []
    for name, content in sent.items():
        try:
            found = unpacked(name, content) if name.lower().endswith(".zip") else {name: content}
        except Refused as refused:
            problems += refused.problems
            continue
        problems += [problem for one in found for problem in room.sent_name_problems(one)]
        twice = sorted(by_name.keys() & found.keys())
        problems += [Problem(Address(one), "was sent twice, once in a ZIP.", "Send it once.") for one in twice]
        by_name |= found
    if problems:
        raise Refused(problems)
    return by_name
