"""An answer is shown from the page that was frozen with it, whatever becomes of the templates."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from django.db import transaction
from django.test import Client

from gristwright.basics import Refused
from gristwright.store.frozen import sha256
from gristwright.store.mapping import save_enquiry
from gristwright.store.models import Answer, EnquiryRow, Job
from gristwright.store.models.work import State
from gristwright.workbench import issued, jobs
from scenario import enquiry, lots

SAYS = "does not match its fingerprint"
FROZEN = [name for kind in ("inputs", "view", "pdf", "page", "shown") for name in (kind, f"{kind}_sha256")]


@pytest.fixture(scope="module")
def kept(django_db_setup: None, django_db_blocker: Any) -> dict[str, Any]:
    """What a search on few draws froze; its rows are gone."""
    with django_db_blocker.unblock(), transaction.atomic():
        jobs.ask(save_enquiry(enquiry(), lots()), 256, None)
        job = jobs.claim()
        assert job is not None
        jobs.run(job)
        found = Answer.objects.values(*FROZEN).get()
        transaction.set_rollback(True)
    return dict(found)


@pytest.fixture
def answer(asked: EnquiryRow, owner: Any, kept: dict[str, Any]) -> Answer:
    """An answer that was issued."""
    job = Job.objects.create(enquiry=asked, members=256, state=State.DONE)
    return Answer.objects.create(enquiry=asked, job=job, issued_by=owner, **kept)


def address(answer: Answer) -> str:
    return f"/enquiries/{answer.enquiry_id}/answers/{answer.pk}/"


def shown(desk: Client, answer: Answer) -> str:
    """The page of an answer as it comes."""
    got = desk.get(address(answer))
    assert got.status_code == 200
    return str(got.content.decode())


def test_the_page_is_frozen_with_the_answer_and_shown_as_it_is(desk: Client, answer: Answer) -> None:
    page = shown(desk, answer)
    assert answer.shown_sha256 == sha256(answer.shown)
    assert page.count(answer.shown) == 1
    for words in ("In short", "The lots", "Offers beside today", "The boards", "What it was made from"):
        assert f"<h2>{words}</h2>" in answer.shown
    for kept in ('data-chart="chart-changes"', 'id="chart-changes" type="application/json"', answer.pdf_sha256):
        assert kept in answer.shown


def test_what_is_frozen_has_nothing_of_the_desk_and_no_script_that_runs(answer: Answer) -> None:
    tags = " ".join(re.findall(r"<[^>]*>", answer.shown))
    for word in ("<form", "<input", "<button", "<a ", "<nav", "csrf", "href", "src=", "/enquiries/", "static"):
        assert word not in tags
    assert not re.search(r"<[^>]* (on\w+|style)=", tags)
    scripts = [f'<script id="chart-{name}" type="application/json">' for name in ("changes", "gain")]
    assert re.findall(r"<script[^>]*>", answer.shown) == scripts


def test_another_template_does_not_change_a_page_that_was_issued(
    desk: Client, answer: Answer, settings: Any, tmp_path: Path
) -> None:
    (tmp_path / "desk").mkdir()
    for name in ("answer_body", "cells", "word", "lots_table", "ages"):
        (tmp_path / "desk" / f"{name}.html").write_text("another release", encoding="utf-8")
    settings.TEMPLATES = [{**settings.TEMPLATES[0], "DIRS": [tmp_path]}]
    assert issued.drawn(answer) == "another release"
    page = shown(desk, answer)
    assert answer.shown in page
    assert "another release" not in page


@pytest.mark.parametrize("field", ["shown", "view"])
def test_a_page_that_was_tampered_with_is_refused_in_a_sentence(desk: Client, answer: Answer, field: str) -> None:
    changed = getattr(answer, field).replace("Offer", "Other")
    Answer.objects.update(**{field: changed})
    got = desk.get(address(answer))
    page = got.content.decode()
    assert got.status_code == 500
    assert page.count(SAYS) == 1
    assert "In short" not in page and "Try offer" not in page and "dossier.pdf" not in page


@pytest.mark.parametrize(("kind", "field"), [("pdf", "pdf"), ("html", "page"), ("json", "view")])
def test_a_file_that_was_tampered_with_is_not_given(desk: Client, answer: Answer, kind: str, field: str) -> None:
    Answer.objects.update(**{field: b"%PDF" if kind == "pdf" else "{}"})
    got = desk.get(f"{address(answer)}dossier.{kind}")
    assert got.status_code == 500
    assert SAYS in got.content.decode()
    assert "Content-Disposition" not in got


def test_every_offer_can_be_tried_from_beside_the_page(
    desk: Client, answer: Answer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("gristwright.workbench.views.bill.MEMBERS", 256)
    strict = Client(headers={"host": "127.0.0.1"}, enforce_csrf_checks=True)
    strict.cookies = desk.cookies
    forms = re.findall(r"<form[^>]*/try/.*?</form>", shown(strict, answer), flags=re.DOTALL)
    offers = json.loads(answer.view)["offers"]
    assert len(forms) == len(offers) > 1
    for form, offer in zip(forms, offers, strict=True):
        assert f"Try offer {offer['letter']} on the bill page" in form
        sent = dict(re.findall(r'name="([^"]+)" value="([^"]*)"', form))
        assert strict.post(f"/enquiries/{answer.enquiry_id}/try/", sent).status_code == 302
        tried = EnquiryRow.objects.get().tried
        shares = {share["key"]: round(100 * float(share["middle"])) for share in offer["bill"]["shares"]}
        assert {lot: parts for lot, parts in tried.items() if parts} == {lot: n for lot, n in shares.items() if n}


def test_an_answer_of_an_earlier_release_gets_its_page_once(answer: Answer, tmp_path: Path, settings: Any) -> None:
    frozen = answer.shown
    Answer.objects.update(shown="", shown_sha256="")
    assert issued.freeze_earlier() == 1
    again = Answer.objects.get()
    assert (again.shown, again.shown_sha256) == (frozen, sha256(frozen))
    (tmp_path / "desk").mkdir()
    (tmp_path / "desk" / "answer_body.html").write_text("another release", encoding="utf-8")
    settings.TEMPLATES = [{**settings.TEMPLATES[0], "DIRS": [tmp_path]}]
    assert issued.freeze_earlier() == 0
    assert Answer.objects.get().shown == frozen


def test_an_earlier_answer_that_was_tampered_with_gets_none(desk: Client, answer: Answer) -> None:
    Answer.objects.update(view="{}", shown="", shown_sha256="")
    assert issued.freeze_earlier() == 0
    assert SAYS in desk.get(address(answer)).content.decode()
    with pytest.raises(Refused, match="fingerprint"):
        issued.page_of(Answer.objects.get())
