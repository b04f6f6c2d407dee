"""A fault at the desk: its sentence in the labels of the pages, and a link to its own field. See docs/desk.md."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias
from urllib.parse import quote

from django.core.exceptions import FieldDoesNotExist
from django.db import models
from django.urls import reverse

from gristwright.basics import Address, FieldPath, Problem
from gristwright.records.cask import CaskKind
from gristwright.records.enquiry import CaskPlan
from gristwright.records.fields import field_at, fields_of
from gristwright.records.plant import Plant
from gristwright.store.mapping import OF_RECORD
from gristwright.store.models import EnquiryRow, LotGroup, LotRow, OfferedLot, Release
from gristwright.workbench.paging import ON_A_PAGE, page_of
from gristwright.workbench.record_form import label_of, name_of, path_of
from gristwright.workbench.templatetags.desk import degrees

# Parts of a plant, by their path below it, that are filled in by a field of another name.
OF_PLANT: dict[FieldPath, str] = {
    ("mash",): "mash-kg_per_mash",
    ("mash", "waters"): "mash-waters-1-L_per_kg",
    ("mash", "rests"): "mash-rests-1-settled_degC",
    ("mash", "sparges"): "mash-sparges-1-L_per_kg",
    ("mash", "decoctions"): "mash-decoctions-1-after_rest",
    ("mash", "cooker"): "mash-cook_degC",
    ("washbacks",): "washbacks-count",
    ("washbacks", "course"): "washbacks-course-1-gravity_sg",
    ("washbacks", "months"): "washbacks-months-1-room_degC",
    ("pot_stills",): "stills",
    ("column",): "stills",
}
# Fields of a mash plan that the sentences about a plan name.
NAMED = ("cook_degC", "premalt_pct", "liquor_degC", "liquor_L_per_kg", "settled_mash_degC", "grist_degC", "vessel_L",
         "calcium_mg_per_L", "alkalinity_mg_per_L", "waters_to_washback")  # fmt: skip


@dataclass(frozen=True)
class FieldAtFault:
    """Where a fault is mended: the page, the words before the sentence, and the field's id on that page."""

    page: str
    words: str
    id: str = ""
    # Of a line of a list, such as a lot on offer: which list, and the name of the line.
    line: tuple[str, str] | None = None


Finder: TypeAlias = Callable[[FieldPath], FieldAtFault | None]


def field_of(address: Address) -> FieldAtFault | None:
    """The field of the desk that a record's path means; None where the desk has none for it."""
    if address.file or not address.path:
        return None
    first, *rest = address.path
    find = FINDERS.get(str(first))
    return find(tuple(rest)) if find else None


def _house(path: FieldPath) -> FieldAtFault | None:
    return FieldAtFault("cask", "cask") if path == ("cask",) else _of_record("house", Plant, plant_field(path))


def _cask(path: FieldPath) -> FieldAtFault | None:
    return _of_record("cask", CaskPlan, cask_field(path))


def _climate(_: FieldPath) -> FieldAtFault | None:
    return _of_record("cask", CaskPlan, "climate-name")


def _question(path: FieldPath) -> FieldAtFault | None:
    return _of_row("question", EnquiryRow, str(path[-1])) if path else None


def _enquiry(path: FieldPath) -> FieldAtFault | None:
    """Of an enquiry the question, today's bill and what is on offer stand on pages of their own."""
    if path[:1] == ("present",):
        return _today(path[2:])
    if path[:1] == ("asked",):
        return _bill_asked(path[1:])
    return FieldAtFault("certificates", f"lot {path[1]}", "file") if path[:1] == ("offered",) else _question(path)


def _bill_asked(path: FieldPath) -> FieldAtFault | None:
    """A bill asked about, by its number in the list; without one the name that the next is to have."""
    if not path:
        return FieldAtFault("bill", "bill asked about, name", "bill-name")
    return FieldAtFault("bill", f"bill asked about, no. {path[0]}", f"asked-{path[0]}")


def _release(path: FieldPath) -> FieldAtFault | None:
    return _of_row("age", Release, str(path[0]) if path else "", "prices at release")


def _record(path: FieldPath) -> FieldAtFault | None:
    column = OF_RECORD.get(str(path[-1]), "record_mean_lpa_per_t")
    return FieldAtFault("offer", "the house's own average", f"id_today-{column}")


def _offered(path: FieldPath) -> FieldAtFault | None:
    return _of_line("offer", OfferedLot, "offers", f"lot {path[0]}", path)


def _group(path: FieldPath) -> FieldAtFault | None:
    return _of_line("offer", LotGroup, "groups", f"group {path[0]}", path)


def _lot(path: FieldPath) -> FieldAtFault | None:
    column = "name" if path[-1] == "lot_id" else _label(LotRow, str(path[-1]))
    return FieldAtFault("certificates", f"lot {path[0]}, {column}", id_of("lot", str(path[0])))


def _lots(_: FieldPath) -> FieldAtFault | None:
    return FieldAtFault("certificates", "lots", "file")


def _share(path: FieldPath) -> FieldAtFault | None:
    lot = str(path[0]) if path else ""
    return FieldAtFault("bill", lot or "shares", id_of("shares", lot) if lot else "shares")


def _today(path: FieldPath) -> FieldAtFault | None:
    """A share of today's bill stands beside the price of its lot."""
    if not path:
        return FieldAtFault("offer", "today's bill", "today")
    return FieldAtFault("offer", f"lot {path[0]}, share today", "today", ("offers", str(path[0])))


def _taken(what: str) -> Finder:
    """A lot of a file, on the page on which it is taken over; behind it the lot here that is spoken of."""
    return lambda path: FieldAtFault("", str(path[-1]), id_of(what, str(path[0])))


FINDERS: dict[str, Finder] = {
    "plant": _house, "cask": _cask, "climate": _climate, "question": _question, "enquiry": _enquiry,
    "release": _release, "present": _record, "offered": _offered, "group": _group, "lot": _lot, "lots": _lots,
    "shares": _share, "how": _taken("how"), "name": _taken("name"),
}  # fmt: skip


def id_of(what: str, name: str) -> str:
    """The id of a field that stands once for each lot."""
    return f"{what}-{quote(name, safe='')}"


def plant_field(path: FieldPath) -> str:
    """The form field for a field of a plant; `path` begins below the plant."""
    if path[:2] == ("washbacks", "course") and len(path) == 3:
        path = (*path, "gravity_sg")
    return OF_PLANT.get(path) or name_of(path)


def cask_field(path: FieldPath) -> str:
    """The form field for a field of the cask plan; a path may name the kind of cask before the field."""
    if path[:1] == ("climate",):
        return "climate-name"
    if path[:1] == ("stays",):
        return name_of(path if len(path) > 2 else ("stays", 1, "years"))
    field = str(path[-1]) if path else ""
    if field in fields_of(CaskKind) and field != "name":
        return f"kind-{field}"
    return field if field in fields_of(CaskPlan) and field != "kind" else "kind-name"


def _of_record(page: str, kind: type, name: str) -> FieldAtFault:
    label = "stills" if name == "stills" else label_of(kind, path_of(name))
    known = name == "stills" or field_at(kind, path_of(name)) is not None
    return FieldAtFault(page, f"{page}, {label[:1].lower()}{label[1:]}", f"id_{name}" if known else "")


def _of_row(page: str, model: type[models.Model], column: str, words: str = "") -> FieldAtFault:
    named = words or page
    return (
        FieldAtFault(page, f"{named}, {_label(model, column)}", f"id_{column}")
        if _has(model, column)
        else FieldAtFault(page, named)
    )


def _of_line(page: str, model: type[models.Model], form: str, words: str, path: FieldPath) -> FieldAtFault:
    line, column = str(path[0]), "keys" if path[-1] == "lot_ids" else str(path[-1])
    return FieldAtFault(page, f"{words}, {_label(model, column)}", column, (form, line))


def _has(model: type[models.Model], column: str) -> bool:
    try:
        model._meta.get_field(column)
    except FieldDoesNotExist:
        return False
    return True


def _label(model: type[models.Model], column: str) -> str:
    field = model._meta.get_field(column) if _has(model, column) else None
    if not isinstance(field, models.Field):
        return column.replace("_", " ")
    label = str(field.verbose_name)
    return label[:1].lower() + label[1:]


def in_labels(text: str) -> str:
    """A sentence of a plant file in the labels of the page of the house."""
    text = (
        text.replace(" in [mash]", "")
        .replace("stands beside pot_stills", "are said twice, a column and pots")
        .replace("waters.first with L_per_kg", "the first water")
    )
    text = re.sub(r"waters\.first\.L_per_kg", f"“{label_of(Plant, ('mash', 'waters', 1, 'L_per_kg'))}”", text)
    text = text.replace("cooker.slurry_degC", f"“{label_of(Plant, ('mash', 'cooker', 'slurry_degC'))}”")
    for name in NAMED:
        text = re.sub(rf"(?<![\w.]){re.escape(name)}(?!\w)", f"“{label_of(Plant, ('mash', name))}”", text)
    return degrees(text)


def in_labels_of_cask(text: str) -> str:
    """A sentence of a cask file in the labels of the page of the cask."""
    for path in (*(("kind", name) for name in fields_of(CaskKind)), *((name,) for name in fields_of(CaskPlan))):
        if "_" in path[-1]:
            text = re.sub(rf"(?<![\w.]){re.escape(path[-1])}(?!\w)", f"“{label_of(CaskPlan, path)}”", text)
    return text


def told(problem: Problem) -> str:
    """A problem without its place, for it stands there."""
    text = in_labels(f"{problem.what} {problem.way_out}".strip())
    return text[:1].upper() + text[1:]


def words_of(problem: Problem) -> str:
    """Where a fault stands, in the words of the desk."""
    field = field_of(problem.address)
    return field.words if field else str(problem.where)


def what_of(problem: Problem) -> str:
    """What is wrong and the way out, in the words of the desk."""
    text = f"{problem.what} {problem.way_out}".rstrip()
    field = field_of(problem.address)
    if field and field.page == "cask":
        return degrees(in_labels_of_cask(text))
    return in_labels(text) if field and field.page == "house" else degrees(text)


def sentence(problem: Problem) -> str:
    """A fault as a person at the desk reads it."""
    where = words_of(problem)
    return degrees(f"{where}: {what_of(problem)}" if where else what_of(problem))


def link(problem: Problem, enquiry: EnquiryRow | None) -> str:
    """The address of the field in which a fault is mended; nothing where it stands on no page."""
    if problem.address.file:
        return _link_of_file(problem.address, enquiry)
    field = field_of(problem.address)
    if field is None or (field.page and enquiry is None):
        return ""
    page = reverse(field.page, args=[enquiry.pk]) if field.page and enquiry else ""
    if enquiry and field.id.startswith("lot-"):
        page += _leaf_of(enquiry, field.id)
    leaf, anchor = _line_of(field, enquiry) if field.line and enquiry else ("", field.id)
    return f"{page}{leaf}#{anchor}" if anchor else page


def _leaf_of(enquiry: EnquiryRow, id_: str) -> str:
    """The page of the list of lots on which the one of this id stands; nothing for the first."""
    names = enquiry.named.exclude(version=None).values_list("name", flat=True)
    place = next((n for n, name in enumerate(names) if id_of("lot", name) == id_), 0)
    return f"?lots={page_of(place)}" if place >= ON_A_PAGE else ""


def _link_of_file(address: Address, enquiry: EnquiryRow | None) -> str:
    """The certificate file of that name, at the cell where that is known."""
    file = enquiry.certificate_files.filter(name=address.file).first() if enquiry else None
    if enquiry is None or file is None:
        return ""
    cell = cell_id(address)
    return reverse("certificate_file", args=[enquiry.pk, file.pk]) + (f"#{cell}" if cell else "")


def cell_id(address: Address) -> str:
    """The id of a cell's field on the page of its file; nothing for what is no cell."""
    if not address.row or not address.column:
        return ""
    return f"cell-{address.row}-{address.column}" + (f"-{quote(address.sheet, safe='')}" if address.sheet else "")


def _line_of(field: FieldAtFault, enquiry: EnquiryRow) -> tuple[str, str]:
    """The page of a list of forms, and the id of a field on it: forms stand in the order of their rows."""
    form, name = field.line or ("", "")
    names = [o.lot_id for o in enquiry.offered.all()] if form == "offers" else [g.name for g in enquiry.groups.all()]
    if name not in names:
        return "", ""
    place = names.index(name)
    if form != "offers" or len(names) <= ON_A_PAGE:
        return "", f"id_{form}-{place}-{field.id}"
    return f"?page={page_of(place)}", f"id_{form}-{place % ON_A_PAGE}-{field.id}"
