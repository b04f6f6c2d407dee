"""What is remembered of a supplier's words, or of files with one set of headings, and put to the next file.

See docs/desk.md.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence

from django.db.models import QuerySet
from django.utils import timezone

from gristwright.basics import Problem
from gristwright.files.cells import Sheet
from gristwright.files.certificates import key_of, names, texts_of
from gristwright.files.texts import text_problems
from gristwright.reference.spelling import folded
from gristwright.store.models import Remembered
from gristwright.workbench import map_files
from gristwright.workbench.explaining import CONSTANT, FORGOTTEN, HEADING, MATERIAL, METHOD, UNIT, Explained, will_do
from gristwright.workbench.fields import count_in
from gristwright.workbench.hands import MOST_ROWS

LONGEST = 200
KEPT = (HEADING, MATERIAL, UNIT, METHOD, CONSTANT)


def remember(said: Iterable[Explained], supplier: str, sheets: Sequence[Sheet], who: str) -> None:
    """Keep what was said of words, for the supplier of the file or else for its headings; what was forgotten goes."""
    key, named = key_of(supplier, sheets)
    for one in said:
        if one.what not in KEPT or (one.what == CONSTANT and supplier):
            continue
        if one.means == FORGOTTEN:
            both = (key, key_of("", sheets)[0])
            Remembered.objects.filter(key__in=both, what=one.what, word=one.word).delete()
            continue
        told = {"means": one.means, "supplier": named, "by": who, "at": timezone.now()}
        Remembered.objects.update_or_create(key=key, what=one.what, word=one.word[:200], defaults=told)
    map_files.write()


def recalled(sheets: Sequence[Sheet]) -> tuple[Explained, ...]:
    """What is remembered of the words in a file, here and then in the maps of the data folder."""
    texts, own = texts_of(sheets), key_of("", sheets)[0]
    here = [one for one in Remembered.objects.all() if one.key == own or names(texts, one.key)]
    said = [Explained(one.what, one.word, one.means, one.at.isoformat(), one.supplier) for one in here]
    known = {(one.what, folded(one.word)) for one in said}
    said += [one for one in map_files.said(sheets) if (one.what, folded(one.word)) not in known]
    return tuple(one for one in said if one.what == CONSTANT or _stands(texts, one.what, folded(one.word)))


def _stands(texts: set[str], what: str, word: str) -> bool:
    """Whether a word stands in some cell; a unit behind its figure or in a heading."""
    return any(text.endswith(word) for text in texts) if what == UNIT else any(_is(text, word) for text in texts)


def _is(text: str, word: str) -> bool:
    return text == word or text.endswith(f": {word}")


def rows() -> QuerySet[Remembered]:
    """Everything that is remembered."""
    return Remembered.objects.all()


def explained(row: Remembered) -> Explained:
    """A word that is remembered, as it was explained."""
    return Explained(row.what, row.word, row.means)


def too_long(text: str, where: str) -> list[Problem]:
    """A meaning longer than its place."""
    what = f"{len(text)} characters are more than the {LONGEST} that are kept."
    return [Problem(where, what, "Shorten it.")] if len(text) > LONGEST else []


def revise(
    means: Mapping[str, str], gone: Collection[str], who: str, seen: Mapping[str, str] | None = None
) -> tuple[list[str], list[str]]:
    """Change and delete what is remembered, by the number of each row; what was done, and what stays, in sentences.

    What somebody else changed since it was `seen` stays as it is now, and is told where it was to be changed too.
    """
    done, stays = [], []
    asked = [key for key in {*means, *gone} if count_in(key, MOST_ROWS)]
    kept = list(rows().filter(pk__in=asked))
    for row in kept:
        one, key = explained(row), str(row.pk)
        before = (seen or {}).get(key, row.means)
        new = Explained(row.what, row.word, means.get(key, row.means).strip())
        wrong = [*text_problems(new.means, one.shown), *too_long(new.means, one.shown)]
        if wrong and key not in gone:
            stays.append(wrong[0].sentence())
            continue
        touched = key in gone or (new.means not in ("", before, FORGOTTEN) and will_do(new))
        if not touched or (key not in gone and new.means == row.means):
            continue
        if before != row.means:
            stays.append(_moved_on(row, one))
        elif key in gone:
            row.delete()
            done.append(f"{row.supplier}: “{one.shown}” as {one.told} deleted.")
        else:
            row.means, row.by, row.at = new.means, who, timezone.now()
            row.save(update_fields=["means", "by", "at"])
            done.append(f"{row.supplier}: “{one.shown}” is {new.told} from now on, not {one.told}.")
    here = {str(row.pk) for row in kept}
    if any(means.get(key, was) != was for key, was in (seen or {}).items() if key not in here):
        stays.append("A word that you changed was deleted meanwhile; it is not remembered again.")
    map_files.write()
    return done or ([] if stays else ["Nothing was changed."]), stays


def _moved_on(row: Remembered, one: Explained) -> str:
    """What is said to somebody who saw another meaning."""
    return f"{row.supplier}: “{one.shown}” was set to {one.told} by {row.by} meanwhile and stays so; look at it again."
