"""What is remembered of a supplier's words, or of files with one set of headings, and put to the next file.

See docs/desk.md.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from itertools import pairwise

from django.utils import timezone

from gristwright.files.cells import Sheet
from gristwright.records.lot import Lot
from gristwright.reference.spelling import folded
from gristwright.store.frozen import sha256
from gristwright.store.models import Remembered
from gristwright.workbench.explaining import CONSTANT, FORGOTTEN, HEADING, MATERIAL, UNIT, Explained, will_do

KEPT = (HEADING, MATERIAL, UNIT, CONSTANT)
HEADINGS = "headings "
SEARCHED_LINES = 60
# A name shorter than this is found in too many cells.
SHORTEST = 3


def remember(said: Iterable[Explained], supplier: str, sheets: Sequence[Sheet], who: str) -> None:
    """Keep what was said of words, for the supplier of the file or else for its headings; what was forgotten goes."""
    key, named = key_of(supplier, sheets)
    for one in said:
        if one.what not in KEPT or (one.what == CONSTANT and supplier):
            continue
        if one.means == FORGOTTEN:
            Remembered.objects.filter(key=key, what=one.what, word=one.word).delete()
            continue
        told = {"means": one.means, "supplier": named, "by": who, "at": timezone.now()}
        Remembered.objects.update_or_create(key=key, what=one.what, word=one.word[:200], defaults=told)


def key_of(supplier: str, sheets: Sequence[Sheet]) -> tuple[str, str]:
    """What the words of a file are remembered under, and how that is called on the page."""
    if supplier:
        return folded(supplier)[:200], supplier[:200]
    heads = headings_of(sheets)
    return HEADINGS + sha256(" | ".join(sorted(map(folded, heads)))), f"files headed {', '.join(heads)}"[:200]


def supplier_of(lots: Sequence[Lot]) -> str:
    """The one supplier of all lots of a file; nothing when it names none, or several."""
    named = {folded(lot.supplier): lot.supplier for lot in lots if lot.supplier}
    return next(iter(named.values())) if len(named) == 1 else ""


def headings_of(sheets: Sequence[Sheet]) -> tuple[str, ...]:
    """The line of texts of a file that has the most of them: its headings, whether they are known or not."""
    lines: list[list[str]] = [
        [cell.text for cell in row if cell.text and cell.number is None and not cell.copied]
        for sheet in sheets
        for row in sheet.cells[:SEARCHED_LINES]
    ]
    longest: list[str] = max(lines, key=len, default=[])
    return tuple(longest)


def recalled(sheets: Sequence[Sheet]) -> tuple[Explained, ...]:
    """What is remembered of the words in a file."""
    kept = list(Remembered.objects.all())
    if not kept:
        return ()
    texts, own = _texts(sheets), key_of("", sheets)[0]
    here = [one for one in kept if one.key == own or _names(texts, one.key)]
    return tuple(
        Explained(one.what, one.word, one.means, one.at.isoformat(), one.supplier)
        for one in here
        if one.what == CONSTANT or _stands(texts, one.what, folded(one.word))
    )


def _texts(sheets: Sequence[Sheet]) -> set[str]:
    """The texts of all cells, and of each with the one below it: a heading may stand in two lines."""
    texts = {folded(cell.text) for sheet in sheets for row in sheet.cells for cell in row if cell.text}
    for sheet in sheets:
        for above, below in pairwise(sheet.cells[:SEARCHED_LINES]):
            pairs = zip(above, below, strict=True)
            texts |= {folded(f"{a.text} {b.text}") for a, b in pairs if a.text and b.text and b.number is None}
    return texts


def _names(texts: set[str], key: str) -> bool:
    """Whether a supplier is named in some cell, alone or behind a colon."""
    if key.startswith(HEADINGS) or len(key) < SHORTEST:
        return False
    return any(text == key or text.endswith(f": {key}") for text in texts)


def _stands(texts: set[str], what: str, word: str) -> bool:
    """Whether a word stands in some cell; a unit behind its figure or in a heading."""
    return any(text.endswith(word) for text in texts) if what == UNIT else any(_is(text, word) for text in texts)


def _is(text: str, word: str) -> bool:
    return text == word or text.endswith(f": {word}")


def lines() -> list[tuple[Remembered, Explained]]:
    """Everything that is remembered."""
    return [(row, Explained(row.what, row.word, row.means)) for row in Remembered.objects.all()]


def revise(means: Mapping[str, str], gone: Collection[str], who: str) -> list[str]:
    """Change and delete what is remembered, by the number of each row; what was done, in sentences."""
    done = []
    for row, one in lines():
        new = Explained(row.what, row.word, means.get(str(row.pk), row.means).strip())
        if str(row.pk) in gone:
            row.delete()
            done.append(f"{row.supplier}: “{one.shown}” as {one.told} deleted.")
        elif new.means not in ("", row.means, FORGOTTEN) and will_do(new):
            row.means, row.by, row.at = new.means, who, timezone.now()
            row.save()
            done.append(f"{row.supplier}: “{one.shown}” is {new.told} from now on, not {one.told}.")
    return done or ["Nothing was changed."]
