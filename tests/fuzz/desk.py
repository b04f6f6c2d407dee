"""Every form of the desk over a database that is thrown away: fields spoilt, left out, doubled, added; files sent."""

from __future__ import annotations

import copy
import itertools
import os
import shutil
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from http.cookies import SimpleCookie
from pathlib import Path
from typing import Any
from unittest import mock

from django.apps import apps
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection, transaction
from django.test import Client
from hypothesis import strategies as st

from fuzz.drawing import ONE_VALUE, PLACES, edits
from fuzz.hostile import VALUES, spoilt, written
from fuzz.pages_crawled import Form, crawled
from fuzz.readers import READERS, content_of
from fuzz.watch import Found, strict_json
from gristwright.workbench import starting
from scenario import FOLDER

HERE = "127.0.0.1"
BEGIN = "/begin/"
SENT = ("enquiry.toml", "plant.toml", "bill.toml", "lots.csv")
CHANGES = ("put", "put", "put", "put", "choose", "drop", "double", "extra", "press", "file")
# The server refuses a longer body before the desk sees it.
MOST_BODY = 2_000_000


@dataclass(frozen=True)
class Desk:
    """A desk with an enquiry on it: who is signed in, pages that answer, forms by key."""

    cookies: str
    pages: tuple[str, ...]
    forms: dict[str, Form]


@cache
def desk(answered: bool = False) -> Desk:
    """The desk to start from; with an answer of a search where that is worth the time it takes."""
    # Addresses and keys of rows are drawn, so the same numbers are drawn each time.
    count = itertools.count(1_000_000 if answered else 1)
    with mock.patch("os.urandom", lambda size: next(count).to_bytes(size, "big")):
        return _started(answered)


def _started(answered: bool) -> Desk:
    from django.contrib.auth import get_user_model

    import versions
    from gristwright.store.models import CertificateFile, Job

    owner, new = get_user_model().objects.get_or_create(username="A.Example")
    if new:  # another password would sign out who came in at the other desk
        owner.set_password("barley-and-water-7")
        owner.save()
    client = Client(headers={"host": HERE})
    begin = _forms_of_strangers(client)
    client.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
    enquiry, other, binned = (starting.from_files(_files(), owner) for _ in range(3))
    here = f"/enquiries/{enquiry.pk}/"
    # Before lots come that nobody gave a price.
    shown = _answers(enquiry, owner) if answered else []
    for example in ("seeds/certificate.csv", "two-smokes/lots.csv", "lauter-rests-sparge/lots.csv"):
        client.post(f"{here}certificates/send/", {"file": SimpleUploadedFile(Path(example).name, content_of(example))})
    last = CertificateFile.objects.order_by("pk").last()
    if last is not None:
        client.post(f"{here}certificates/{last.pk}/take/", {"take": "yes"})
    client.post(f"/enquiries/{binned.pk}/bin/", {"aside": "yes"})
    client.post(f"{here}asked/", {"share.PD-1": "90", "share.CM-120": "10", "bill_name": "As it was"})
    # The house of two enquiries, changed since in one of them.
    other.plant = enquiry.plant
    other.save(update_fields=["plant"])
    versions.plant(other, "mash", "kg_per_mash", value=2222.0)
    Job.objects.create(enquiry=other, members=256, asked_by=owner, kind="search", asked={})
    Job.objects.create(enquiry=other, members=256, asked_by=owner, kind="mash", asked={})
    more = [
        f"/enquiries/{row.pk}/{page}"
        for row in (enquiry, other, binned)
        for page in ("", "answers/", "files/", "delete/")
    ]
    begin_at = ["/", "/?list=bin", f"{here}certificates/remembered/", f"{here}house/", *shown, *more, "/password/"]
    pages, forms = crawled(client, begin_at)
    return Desk(client.cookies.output(header="", sep=";"), tuple(pages), begin | forms)


def _files() -> dict[str, bytes]:
    return {name: (FOLDER / name).read_bytes() for name in SENT}


def _forms_of_strangers(client: Client) -> dict[str, Form]:
    """The door, as somebody sees it who is not signed in: at a desk of an owner, and at one of nobody."""
    with nobody_yet():
        begin = crawled(client, [BEGIN])[1]
    return begin | crawled(client, ["/enter/"])[1]


def nobody_yet() -> Any:
    """A desk that has no owner."""
    return mock.patch("gristwright.workbench.views.people.has_owner", return_value=False)


def _answers(enquiry: Any, owner: Any) -> list[str]:
    """A draft, an answer that stands, one superseded and one withdrawn: their pages and all that is taken away.

    One search of few draws, worked out as the worker does it; the others say the same.
    """
    from gristwright.store.models import Job
    from gristwright.workbench import issued, jobs

    # Taken at once: others wait longer.
    jobs.run(Job.objects.create(enquiry=enquiry, members=256, asked_by=owner, kind="search", asked={}, state="running"))
    draft = enquiry.answers.get()
    superseded, stands, withdrawn = (_another(draft) for _ in range(3))
    for answer, instead_of in ((superseded, ()), (stands, (superseded.pk,)), (withdrawn, ())):
        issued.issue(answer, owner, "A. Example", "As agreed.", instead_of)
    issued.withdraw(withdrawn, owner, "A. Example", "It holds no more.")
    pages = [f"/enquiries/{enquiry.pk}/answers/{one.pk}/" for one in (draft, stands, superseded, withdrawn)]
    kinds = ("dossier.pdf", "dossier.html", "dossier.json", "dossier-de.pdf", "?language=de")
    return [*pages, *(pages[1] + kind for kind in kinds)]


def _another(answer: Any) -> Any:
    """The same answer, found by another search."""
    made = copy.copy(answer)
    job = copy.copy(answer.job)
    for row in (job, made):
        row.pk, row._state = uuid.uuid4(), copy.copy(row._state)
        row._state.adding = True
    job.save(force_insert=True)
    made.job = job
    made.save(force_insert=True)
    return made


def cases(answered: bool = False) -> st.SearchStrategy[dict[str, Any]]:
    """One form after another, each with changes of what a browser would send, and pages opened afterwards."""
    start = desk(answered)
    # An answer brings forms of its own; those that are there without one are tried without one.
    forms = [key for key in start.forms if not answered or key not in desk(False).forms]
    change = st.tuples(st.sampled_from(CHANGES), PLACES, PLACES, ONE_VALUE)
    step = st.fixed_dictionaries(
        {
            "form": st.sampled_from(sorted(forms)),
            "changes": st.lists(change, max_size=4),
            "file": st.sampled_from([example for reader in READERS for example in reader.examples]),
            "edits": st.one_of(st.just([]), edits(most=2)),
        }
    )
    return st.fixed_dictionaries(
        {
            "steps": st.lists(step, min_size=1, max_size=3),
            "pages": st.lists(st.integers(0, len(start.pages) - 1), min_size=1, max_size=3),
            "answered": st.just(answered),
        }
    )


def run(case: dict[str, Any], folder: Path) -> str:
    """Send the forms, open the pages, look at the database, and take it all back."""
    start = desk(case["answered"])
    client = Client(headers={"host": HERE})
    client.cookies = SimpleCookie(start.cookies)
    ended = "refused"
    try:
        with transaction.atomic():
            try:
                for step in case["steps"]:
                    status = send(client, start.forms[step["form"]], step)
                    ended = "accepted" if status in (200, 204, 302) else ended
                for number in case["pages"]:
                    _looked(client.get(start.pages[number], follow=True), start.pages[number])
                look_at_database()
            finally:
                transaction.set_rollback(True)
    finally:
        shutil.rmtree(Path(os.environ["GRISTWRIGHT_HOME"]) / "maps", ignore_errors=True)
    return ended


def send(client: Client, form: Form, step: dict[str, Any]) -> int:
    """One form sent as a browser would, but for the changes; the status of the answer."""
    data = list(fields_sent(form, step))
    if form.action == BEGIN:
        with nobody_yet():
            return _looked(Client(headers={"host": HERE}).post(BEGIN, _grouped(data)), BEGIN)
    if form.method == "get":
        return _looked(client.get(form.action, _grouped(data)), form.action)
    return _looked(client.post(form.action, _grouped(data)), form.action)


def fields_sent(form: Form, step: dict[str, Any]) -> Iterator[tuple[str, Any]]:
    """Names and values, after the changes."""
    data: list[tuple[str, Any]] = []
    for control in form.controls:
        if control.kind == "file":
            content = spoilt(content_of(step["file"]), step["edits"])
            data.append((control.name, SimpleUploadedFile(Path(step["file"]).name, content[:MOST_BODY])))
        elif control.sent:
            data.append((control.name, control.value))
    buttons = [control for control in form.controls if control.kind == "submit"]
    if buttons:
        data.append((buttons[0].name, buttons[0].value))
    for what, here, there, value in step["changes"]:
        _change(form, data, what, here, there, written(value))
    yield from data


def _change(form: Form, data: list[tuple[str, Any]], what: str, here: int, there: int, value: str) -> None:
    """One change of what is sent."""
    at = here % len(data) if data else 0
    if what == "extra" or not data:
        names = (
            "x",
            "id",
            "form-TOTAL_FORMS",
            "next",
            "key",
            data[at][0] + "x" if data else "y",
            written(VALUES[there % 80]),
        )
        data.append((names[here % len(names)], value))
    elif what == "put":
        data[at] = (data[at][0], value)
    elif what == "drop":
        del data[at]
    elif what == "double":
        data.insert(there % len(data), data[at])
    elif what == "choose":
        chosen = [control for control in form.controls if control.choices or control.kind in ("checkbox", "radio")]
        if chosen:
            control = chosen[here % len(chosen)]
            data[:] = [(name, v) for name, v in data if name != control.name]
            data.append(
                (control.name, control.choices[there % len(control.choices)] if control.choices else control.value)
            )
    elif what == "press":
        buttons = [control for control in form.controls if control.kind == "submit"]
        if buttons:
            data[:] = [(name, v) for name, v in data if name not in {b.name for b in buttons}]
            data.append((buttons[there % len(buttons)].name, buttons[there % len(buttons)].value))
    elif what == "file":
        name = value.replace("/", "_")[:300] or "x"
        content = content_of(READERS[there % len(READERS)].examples[0])
        data[at] = (data[at][0], SimpleUploadedFile(name, content))


def _grouped(data: list[tuple[str, Any]]) -> dict[str, list[Any]]:
    """Fields by name, each with every value that was sent."""
    grouped: dict[str, list[Any]] = {}
    for name, value in data:
        grouped.setdefault(name, []).append(value)
    return grouped


def _looked(answer: Any, path: str) -> int:
    """The status of an answer. Raises Found for a fault of the server and for JSON that is none."""
    content = b"".join(answer.streaming_content) if answer.streaming else answer.content
    if answer.status_code >= 500:
        raise Found("a fault of the server", f"{answer.status_code} at {path}")
    if answer.get("Content-Type", "").startswith("application/json"):
        strict_json(content.decode())
    if answer.status_code == 200 and answer.get("Content-Type", "").startswith("text/html"):
        content.decode()
    return int(answer.status_code)


def look_at_database() -> None:
    """Raise Found where keys lead nowhere, where the file is not whole, or where the history says something else."""
    connection.check_constraints()
    with connection.cursor() as cursor:
        if (said := cursor.execute("PRAGMA integrity_check").fetchone()[0]) != "ok":
            raise Found("a database that is not whole", said)
    for model in apps.get_models():
        manager = getattr(model, "history", None)
        if manager is None or model.__name__.startswith("Historical"):
            continue
        for row in model.objects.all():
            last = row.history.first()
            names = [f.attname for f in manager.model.tracked_fields]
            apart = [name for name in names if last is None or getattr(last, name) != getattr(row, name)]
            if apart:
                raise Found("a history that says something else", f"{model.__name__}: {', '.join(apart)}")
