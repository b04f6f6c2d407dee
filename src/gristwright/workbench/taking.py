"""The lots of a certificate file added to those of an enquiry; what becomes of one that is here already is asked.

See docs/desk.md.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from django.utils import timezone

from gristwright.basics import Problem, Refused, at
from gristwright.documents.certificate import delivery_of
from gristwright.quantities.shown import capital
from gristwright.records.lot import Analysis, Lot
from gristwright.stages.grist.certificate_units import fields
from gristwright.store.library import add_lot, lot_names, lot_records, offer_lot, replace_lot
from gristwright.store.models import CertificateFile, EnquiryRow, LotStep
from gristwright.store.models.enquiries import LONGEST_NAME
from gristwright.workbench import room, undoing
from gristwright.workbench.certificates import lots_in
from gristwright.workbench.turns import turn

REPLACE, BOTH = "replace", "both"
# Where a new lot came from, in sentences.
FILE, FORM, OTHER = "the file", "the form", "the other enquiry"


@dataclass(frozen=True)
class Here:
    """A lot that is here already, against a new one and where that came from."""

    lot: Lot
    new: Lot
    source: str = FILE

    @property
    def told(self) -> str:
        """Why it may be the same lot."""
        if same_delivery(self.lot, self.new):
            if self.lot.crop == self.new.crop:
                return f"Same supplier, lot number and crop as {self.lot.lot_id} here."
            return f"Same supplier and lot number as {self.lot.lot_id} here; the crop is not said in both."
        if self.lot.lot_number and self.new.lot_number:
            return f"Another lot goes by this name here: {delivery_of(self.lot)}."
        silent = "the one here" if self.new.lot_number else self.source
        what = "does not say its supplier and lot number, so it may be the same lot or another."
        return f"A lot of this name is here; {silent} {what}"

    @property
    def changed(self) -> str:
        """Every value that is another one now, from what to what."""
        before, after = (_known(lot) | _values(lot) for lot in (self.lot, self.new))
        names = [name for name in (before | after) if before.get(name, "") != after.get(name, "")]
        said = [f"{name} from {before.get(name) or 'nothing'} to {after.get(name) or 'nothing'}" for name in names]
        return f"{capital('; '.join(said))}." if said else ""

    @property
    def differs(self) -> str:
        """Every value that is not the same in both, and what only one of them has."""
        before, after = (_values(lot) for lot in (self.lot, self.new))
        both = [name for name in before if name in after and before[name] != after[name]]
        said = (
            ("", [f"{name} {before[name]} here, {after[name]} in {self.source}" for name in both]),
            ("Only here: ", [f"{name} {value}" for name, value in before.items() if name not in after]),
            (f"Only in {self.source}: ", [f"{name} {value}" for name, value in after.items() if name not in before]),
        )
        lines = [f"{capital(start + '; '.join(which))}." for start, which in said if which]
        return " ".join(lines) or "Every value is the same."


@dataclass(frozen=True)
class Question:
    """A lot of a file with those it may be the same as, and what somebody said of it."""

    lot: Lot
    here: tuple[Here, ...]
    how: str = ""
    name: str = ""

    @property
    def source(self) -> str:
        """Where the new lot came from, as it is said beside the one here."""
        return self.here[0].source if self.here else FILE

    @cached_property
    def replaced(self) -> str:
        """The name of the lot here that it replaces; nothing when it replaces none."""
        return next((one.lot.lot_id for one in self.here if self.how == f"{REPLACE} {one.lot.lot_id}"), "")

    @property
    def known(self) -> bool:
        """Whether the lot is here as it is, so that to take it over would change nothing."""
        return any(not one.changed for one in self.here)

    @property
    def beside(self) -> bool:
        """Whether both are to be kept."""
        return self.how == BOTH

    @property
    def goes_by(self) -> str:
        """What the lot is to be called in the enquiry."""
        return self.replaced or (self.name if self.here else self.lot.lot_id)


def same_delivery(one: Lot, other: Lot) -> bool:
    """Whether supplier, lot number and crop are the same; a crop that one of them does not say is no difference."""
    if not one.lot_number or not other.lot_number:
        return False
    crops = {one.crop, other.crop} - {None}
    return len(crops) < 2 and _plain(one.supplier, one.lot_number) == _plain(other.supplier, other.lot_number)


def _plain(*texts: str) -> tuple[str, ...]:
    return tuple(" ".join(text.split()).casefold() for text in texts)


def _known(lot: Lot) -> dict[str, str]:
    """What a lot is known by."""
    return {"supplier": lot.supplier, "lot number": lot.lot_number, "crop": str(lot.crop or "")}


def _values(lot: Lot) -> dict[str, str]:
    """What a certificate says, by the titles of its fields."""
    known = fields()
    titles = {a.field: known[a.field].title if a.field in known else a.field for a in lot.analyses}
    return {"type": lot.material.replace("_", " ")} | {
        titles[a.field]: _printed(a, titles[a.field]) for a in lot.analyses
    }


def _printed(analysis: Analysis, title: str) -> str:
    basis = "" if analysis.basis in title else analysis.basis
    return " ".join(text for text in (f"{analysis.value:g}", analysis.unit, basis) if text)


def questions(
    enquiry: EnquiryRow, lots: Sequence[Lot], said: Mapping[str, str], source: str = FILE
) -> tuple[Question, ...]:
    """Every new lot; those that are here already with what was said of them on the page."""
    kept = lot_records(enquiry)
    taken = {lot.lot_id for lot in kept}
    questions_so_far = []
    for lot in lots:
        here = tuple(Here(one, lot, source) for one in kept if same_delivery(one, lot) or one.lot_id == lot.lot_id)
        usual = "" if lot.lot_id in taken else lot.lot_id
        name = said.get(f"name.{lot.lot_id}", usual).strip()
        questions_so_far.append(Question(lot, here, said.get(f"how.{lot.lot_id}", ""), name))
    return tuple(questions_so_far)


def faults(asked: Sequence[Question], kept: Sequence[str]) -> list[Problem]:
    """What is not said yet, or will not do; `kept` are the names of the lots here."""
    new = sum(not one.replaced for one in asked)
    much = [*room.lots_problems(len(kept), new), *room.name_problems(one.lot for one in asked)]
    return [*much, *_unsaid(asked), *_twice(asked), *_names(asked, kept)]


def _unsaid(asked: Sequence[Question]) -> Iterator[Problem]:
    for one in asked:
        if one.here and not one.replaced and not one.beside:
            what = "is here already and nothing was said of it."
            yield Problem(at("how", one.lot.lot_id), what, "Replace the one here, or keep both.")


def _twice(asked: Sequence[Question]) -> Iterator[Problem]:
    by: dict[str, list[str]] = {}
    for one in asked:
        by.setdefault(one.replaced, []).append(one.lot.lot_id)
    for name, lots in by.items():
        if name and len(lots) > 1:
            what = f"is replaced by {' and by '.join(lots)}."
            yield Problem(at("how", lots[-1], name), what, "Keep one of them beside it.")


def _names(asked: Sequence[Question], kept: Sequence[str]) -> Iterator[Problem]:
    counted = Counter([*kept, *(one.goes_by for one in asked if not one.replaced)])
    for one in asked:
        if not one.beside:
            continue
        if not one.name:
            yield Problem(
                at("name", one.lot.lot_id), "has no name of its own yet.", "Give it one, so that both can be kept."
            )
        elif len(one.name) > LONGEST_NAME:
            yield Problem(
                at("name", one.lot.lot_id), f"“{one.name}” is longer than {LONGEST_NAME} characters.", "Shorten it."
            )
        elif counted[one.name] > 1:
            what = f"“{one.name}” is the name of another lot here."
            yield Problem(at("name", one.lot.lot_id), what, "Give it another one, so that both can be kept.")


@turn()
def add(sent: CertificateFile, said: Mapping[str, str], who: str) -> tuple[str, ...]:
    """Add the lots of a file as it stands now, all or none, and put each new one on offer; what was done, in sentences.

    Raises Refused for a fault of the file and while something is not said.
    """
    file = CertificateFile.objects.get(pk=sent.pk)
    told, lines, step = _add(file.enquiry, questions(file.enquiry, lots_in(file), said), file.name, who)
    file.taken, file.taken_at = [*file.taken, *undoing.signed(lines, who)], timezone.now()
    file.save(update_fields=["taken", "taken_at"])
    step.file = file
    step.save(update_fields=["file"])
    return told


@turn()
def add_lots(
    enquiry: EnquiryRow, lots: Sequence[Lot], said: Mapping[str, str], who: str, origin: str, source: str
) -> tuple[str, ...]:
    """Add lots that came in no file; `origin` is told as the place they came from. Raises Refused as `add` does."""
    told, lines, step = _add(enquiry, questions(enquiry, lots, said, source), origin, who)
    step.lines = undoing.signed(lines, who)
    step.save(update_fields=["lines"])
    return told


def _add(
    enquiry: EnquiryRow, asked: Sequence[Question], origin: str, who: str
) -> tuple[tuple[str, ...], list[dict[str, str]], LotStep]:
    """Keep the lots; what was done in sentences, in lines of the history, and as a step that can be undone."""
    problems = faults(asked, list(lot_names(enquiry)))
    if problems:
        raise Refused(problems)
    before = undoing.standing(enquiry)
    for one in asked:
        _keep(enquiry, one)
    told = sentences(asked, origin)
    return told, [_told(one, origin) for one in asked], undoing.record(enquiry, who, told, before)


def _keep(enquiry: EnquiryRow, one: Question) -> None:
    if one.replaced:
        replace_lot(enquiry, one.replaced, one.lot)
        return
    add_lot(enquiry, one.lot, one.goes_by)
    offer_lot(enquiry, one.goes_by)


def _told(one: Question, file: str) -> dict[str, str]:
    """A line of the history: which lot, what was done, and by or beside what."""
    if one.replaced:
        return {"lot": one.replaced, "how": "replaced", "by": f"{one.lot.lot_id} of {file}"}
    if one.here:
        beside = ", ".join(other.lot.lot_id for other in one.here)
        return {"lot": one.goes_by, "how": f"kept beside {beside}", "by": f"{one.lot.lot_id} of {file}"}
    return {"lot": one.goes_by, "how": "added", "by": file}


def sentences(asked: Sequence[Question], file: str) -> tuple[str, ...]:
    """What was done with the lots of a file."""
    added = [one.goes_by for one in asked if not one.here]
    number = f"{len(added)} lot{'s' * (len(added) != 1)}"
    said = [f"{number} added from {file}: {', '.join(added)}."] if added else []
    for one in (one for one in asked if one.here):
        told = _told(one, file)
        if not one.replaced:
            said.append(f"{one.goes_by} {told['how']}, as {told['by']}.")
        elif one.replaced == one.lot.lot_id:
            said.append(f"{one.replaced} replaced by that of {file}.")
        else:
            said.append(f"{one.replaced} replaced by {told['by']}, which goes by the name {one.replaced} here.")
    return tuple(said)
