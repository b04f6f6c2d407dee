"""What was saved meanwhile in another window: each field as it was shown, as it is kept now and as it was sent.

See docs/desk.md.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeAlias

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpRequest, QueryDict
from django.utils.datastructures import MultiValueDict

from gristwright.workbench.hands import Hand
from gristwright.workbench.sent_lines import Sent, moved

# Beside the fields a form carries what stood in each, and of a field that is asked about what stood there at first.
WAS, OPENED, CHOICE = "was", "opened", "choose."
MINE, THEIRS = "mine", "theirs"
CLASH = 409
REMOVE = forms.formsets.DELETION_FIELD_NAME

Texts: TypeAlias = Mapping[str, list[str]]
Shown: TypeAlias = Sequence[Any]  # forms and sets of forms, not bound to anything sent


@dataclass(frozen=True)
class Clash:
    """A field that two windows changed to different values."""

    name: str
    label: str
    anchor: str
    opened: str
    kept: str
    yours: str
    hand: Hand | None


@dataclass
class Meanwhile:
    """What a form is filled with, what must be asked before it is written, and what is only told."""

    kept: Texts
    data: QueryDict | None = None
    files: MultiValueDict[str, Any] | None = None
    clashes: list[Clash] = field(default_factory=list)
    homeless: list[str] = field(default_factory=list)
    told: list[str] = field(default_factory=list)
    opened: dict[str, list[str]] = field(default_factory=dict)
    # Whether anything at all stands otherwise than when the page was opened.
    moved_on: bool = False

    @property
    def was(self) -> str:
        """What stands in each field, as the form carries it."""
        return json.dumps(self.kept, ensure_ascii=False, allow_nan=False)

    @property
    def asked(self) -> str:
        """What stood at first in the fields that are asked about."""
        return json.dumps(self.opened, ensure_ascii=False, allow_nan=False)

    @property
    def stops(self) -> bool:
        """Whether nothing may be written before somebody has read this page."""
        return bool(self.clashes or self.homeless)


Saver: TypeAlias = Callable[[Any], Hand | None]
# Of a line that is gone: what it was called, and who took it out.
Remover: TypeAlias = Callable[[Any, str], tuple[str, Hand | None]]


def nobody(_: Any) -> Hand | None:
    """Where it is not written down who saved a field."""
    return None


def unnamed(_: Any, __: str) -> tuple[str, Hand | None]:
    """Where it is not written down what a line was called."""
    return "A line", None


def meet(request: HttpRequest, shown: Shown, saver: Saver = nobody, remover: Remover = unnamed) -> Meanwhile:
    """What was sent, brought together with what others saved since the page was opened.

    A field that this person did not change stays as it is kept; one that only this person changed is as it was sent.
    """
    found = as_kept(*shown)
    if request.method != "POST":
        return found
    bounds = {bound.html_name: bound for bound in _bounds(shown)}
    sent = Sent.of(request, WAS, OPENED, CHOICE)
    for name, bound in bounds.items():
        if isinstance(bound.field, forms.FileField):
            sent.file(name, request)
    found.data = QueryDict(mutable=True)
    for lines in (each for each in shown if hasattr(each, "management_form")):
        sent = _lines(lines, sent, found, remover)
    _told_homeless(sent, bounds, shown, found)
    for name, bound in bounds.items():
        if name not in sent.new:
            found.data.setlist(name, _judged(bound, sent, found, saver, bounds))
    for name in sent.new:
        found.data.setlist(name, sent.data[name])
    found.files = _files(request, found, bounds)
    found.moved_on = any(not _still(bound, sent, found) for bound in bounds.values())
    return found


def as_kept(*shown: Any) -> Meanwhile:
    """Of forms that nothing was sent for: what stands in their fields."""
    return Meanwhile({bound.html_name: sent_back(bound) for bound in _bounds(shown)})


def _bounds(shown: Shown) -> Iterator[Any]:
    """Every field but the one that says to whom a line belongs, which no page shows."""
    for each in shown:
        for form in getattr(each, "forms", [each]):
            yield from (bound for bound in form if not isinstance(bound.field, forms.models.InlineForeignKeyField))


def sent_back(bound: Any) -> list[str]:
    """What a browser sends of a field that is left as it is shown."""
    widget = bound.field.widget
    if isinstance(bound.field, forms.FileField):
        return [str(getattr(bound.form, "standing", {}).get(bound.name, ""))]
    drawn = widget.get_context(bound.html_name, bound.value(), {})["widget"]
    if isinstance(widget, forms.CheckboxInput):
        return ["on"] if drawn["attrs"].get("checked") else []
    if "optgroups" not in drawn:
        return ["" if drawn["value"] is None else str(drawn["value"])]
    options = [option for _, group, _ in drawn["optgroups"] for option in group]
    chosen = [str(option["value"]) for option in options if option["selected"]]
    alone = isinstance(widget, forms.Select) and not widget.allow_multiple_selected
    return chosen or ([str(options[0]["value"])] if alone and options else [])


def _meaning(of: forms.Field, texts: Sequence[str]) -> Any:
    if isinstance(of, forms.MultipleChoiceField):
        return sorted(texts)
    text = texts[0].replace("\r\n", "\n") if texts else ""
    if isinstance(of, forms.FileField | forms.ModelChoiceField):
        return text
    try:
        return of.to_python(text)
    except ValidationError:
        return text.strip()


def same(of: forms.Field, one: Sequence[str], other: Sequence[str]) -> bool:
    """Whether two texts mean the same in a field, as 64,5 and 64.5 do."""
    return list(one) == list(other) or bool(_meaning(of, one) == _meaning(of, other))


def _judged(bound: Any, sent: Sent, found: Meanwhile, saver: Saver, bounds: Mapping[str, Any]) -> list[str]:
    """What a field is to hold; what cannot be said without asking goes to the clashes, and the field holds yours."""
    name, now = bound.html_name, found.kept[bound.html_name]
    was, yours = sent.was.get(name), sent.data.get(name)
    if was is None and yours is None:
        return now
    if yours is None:
        yours = [] if _may_be_absent(bound.field) else was or []
    if same(bound.field, yours, was if was is not None else now):
        return now
    others = [bound, *_beside(bound, bounds)]
    moved_on = [one for one in others if not _still(one, sent, found)]
    if not moved_on and name not in sent.opened:
        return yours
    choice = sent.choices.get(name)
    if not moved_on and choice in (MINE, THEIRS):
        return yours if choice == MINE else now
    if moved_on != [bound] or not same(bound.field, yours, now):
        _ask(bound, moved_on or [bound], sent, found, saver)
    return yours


def _may_be_absent(of: forms.Field) -> bool:
    """Whether a browser sends nothing of a field in which nothing is chosen."""
    return isinstance(of.widget, forms.CheckboxInput | forms.SelectMultiple | forms.CheckboxSelectMultiple)


def _beside(bound: Any, bounds: Mapping[str, Any]) -> list[Any]:
    """Of the box that takes a line out the other fields of that line, for they go with it."""
    if bound.name != REMOVE:
        return []
    return [one for one in bounds.values() if one.form is bound.form and one is not bound]


def _still(bound: Any, sent: Sent, found: Meanwhile) -> bool:
    was = sent.was.get(bound.html_name)
    return was is not None and same(bound.field, was, found.kept[bound.html_name])


def _ask(bound: Any, moved_on: Sequence[Any], sent: Sent, found: Meanwhile, saver: Saver) -> None:
    name = bound.html_name
    opened = sent.opened.get(name, sent.was.get(name))
    found.opened[name] = opened if opened is not None else found.kept[name]
    changed = [one for one in moved_on if one is not bound]
    beside = "; ".join(f"{one.label} {as_read(one.field, found.kept[one.html_name])}" for one in changed)
    found.clashes.append(
        Clash(
            name,
            label_of(bound),
            bound.auto_id,
            as_read(bound.field, opened) if opened is not None else "not known",
            beside or as_read(bound.field, found.kept[name]),
            as_read(bound.field, sent.data.get(name, [])),
            next(filter(None, map(saver, changed or [bound])), None),
        )
    )


def label_of(bound: Any) -> str:
    """The label of a field, of one in a list with the line before it."""
    line = str(getattr(bound.form, "line", ""))
    return f"{line}: {bound.label}" if line else str(bound.label)


def as_read(of: forms.Field, texts: Sequence[str]) -> str:
    """The texts of a field as a person reads them."""
    if isinstance(of, forms.BooleanField) and not isinstance(of, forms.NullBooleanField):
        return "ticked" if texts else "not ticked"
    words = _labels(getattr(of.widget, "choices", ()))
    return ", ".join(words.get(text, text) for text in texts if text or text in words) or "nothing"


def _labels(choices: Any) -> dict[str, str]:
    flat: dict[str, str] = {}
    for value, label in choices:
        flat |= _labels(label) if isinstance(label, list | tuple) else {str(value): str(label)}
    return flat


# Lists of forms: lines may have come or gone


def _lines(lines: Any, sent: Sent, found: Meanwhile, remover: Remover) -> Sent:
    """What was sent of a list, at the places its lines have now; lines that came or went are told."""
    sent, gone, come = moved(lines, sent)
    for number, key in gone.items():
        called, hand = remover(lines, key)
        what = f"{called} was taken off the list meanwhile{f' {hand}' if hand else ''}."
        typed = _typed_into(lines, sent, number)
        if typed:
            found.homeless.append(f"{what} What you typed for it was not saved: {', '.join(typed)}.")
        else:
            found.told.append(what)
    known = any(name.startswith(f"{lines.prefix}-") for name in sent.was)
    for form in come if known else ():
        found.told.append(f"{getattr(form, 'line', '') or form.instance} came onto the list meanwhile.")
    assert found.data is not None
    for name, value in sent.management(lines).items():
        found.data[name] = value
    return sent


def _typed_into(lines: Any, sent: Sent, number: int) -> list[str]:
    """What somebody typed into a line that is gone, field by field."""
    typed = []
    for name, of in lines.form.base_fields.items():
        yours, was = sent.gone(f"{lines.prefix}-{number}-{name}")
        if yours is not None and was is not None and not same(of, yours, was):
            typed.append(f"{of.label} “{', '.join(yours)}”")
    return typed


def _told_homeless(sent: Sent, bounds: Mapping[str, Any], shown: Shown, found: Meanwhile) -> None:
    """What somebody typed in a field that the page no longer has."""
    for name, was in sent.was.items():
        yours = sent.data.get(name, [])
        if name in bounds or name in sent.new or yours == was or not any(yours):
            continue
        label = getattr(shown[0], "label_for", str)(name)
        found.homeless.append(f"“{label}” is no longer on this page. What you typed was not saved: {', '.join(yours)}.")


def _files(request: HttpRequest, found: Meanwhile, bounds: Mapping[str, Any]) -> MultiValueDict[str, Any]:
    """The files sent, but for those in whose place the kept one was chosen."""
    files = request.FILES.copy()
    for name in list(files):
        if name in bounds and found.data is not None and found.data.getlist(name) == found.kept[name]:
            del files[name]
    return files
