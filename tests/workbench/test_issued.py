"""An answer is shown from the page that was frozen with it, whatever becomes of the templates."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth import get_user_model
from django.db import transaction
from django.test import Client

from gristwright import __version__
from gristwright.basics import Refused
from gristwright.store.frozen import inputs_text, sha256
from gristwright.store.library import add_lot, lot_records, offer_lot
from gristwright.store.mapping import enquiry_record, save_enquiry
from gristwright.store.models import Answer, AnswerStep, EnquiryRow, InOtherLanguage, Job, Papers
from gristwright.store.models.work import Decision, State
from gristwright.workbench import as_frozen, issued, jobs
from scenario import enquiry, lots

SAYS = "does not match its fingerprint"
KEPT = [name for kind in ("inputs", "view", "drawn", "shown") for name in (kind, f"{kind}_sha256")]
PRINTED = [name for kind in ("view", "pdf", "page", "shown") for name in (kind, f"{kind}_sha256")]
IN_OTHER = ("language", *(name for kind in ("pdf", "shown") for name in (kind, f"{kind}_sha256")))
NOTE = "As agreed on the telephone."


@pytest.fixture(scope="module")
def kept(django_db_setup: None, django_db_blocker: Any) -> dict[str, Any]:
    """What a search on few draws froze; its rows are gone."""
    with django_db_blocker.unblock(), transaction.atomic():
        jobs.ask(save_enquiry(enquiry(), lots()), 256, None)
        job = jobs.claim()
        assert job is not None
        jobs.run(job)
        found = Answer.objects.values(*KEPT).get()
        somebody = get_user_model().objects.create_user("B.Example")
        issued.issue(Answer.objects.get(), somebody, "B. Example", NOTE)
        papers = Papers.objects.values(*PRINTED).get()
        german = InOtherLanguage.objects.values(*IN_OTHER).get()
        transaction.set_rollback(True)
    return {"answer": dict(found), "papers": dict(papers), "german": dict(german)}


@pytest.fixture
def draft(asked: EnquiryRow, owner: Any, kept: dict[str, Any]) -> Answer:
    """An answer that nobody has issued."""
    job = Job.objects.create(enquiry=asked, members=256, state=State.DONE)
    return Answer.objects.create(enquiry=asked, job=job, made_by=owner, **kept["answer"])


@pytest.fixture
def answer(draft: Answer, owner: Any, kept: dict[str, Any]) -> Answer:
    """An answer that was issued."""
    papers = Papers.objects.create(answer=draft, **kept["papers"])
    InOtherLanguage.objects.create(papers=papers, **kept["german"])
    AnswerStep.objects.create(answer=draft, kind=Decision.ISSUED, who="B. Example", note=NOTE, by=owner)
    return draft


def address(answer: Answer) -> str:
    return f"/enquiries/{answer.enquiry_id}/answers/{answer.pk}/"


def shown(desk: Client, answer: Answer) -> str:
    """The page of an answer as it comes."""
    got = desk.get(address(answer))
    assert got.status_code == 200
    return str(got.content.decode())


def test_the_page_is_frozen_with_the_answer_and_shown_as_it_is(desk: Client, answer: Answer) -> None:
    page, papers = shown(desk, answer), answer.papers
    assert papers.shown_sha256 == sha256(papers.shown)
    assert page.count(papers.shown) == 1
    for words in (
        "The answer",
        "The answer as it was worked out",
        "The lots",
        "Mash-house order",
        "The boards",
        "How this was made",
    ):
        assert f">{words}</h2>" in papers.shown
    for kept in ('data-chart="chart-change-1"', 'id="chart-change-1" type="application/json"', NOTE, "by B. Example"):
        assert kept in papers.shown


def test_what_is_frozen_has_nothing_of_the_desk_and_no_script_that_runs(answer: Answer) -> None:
    tags = " ".join(re.findall(r"<[^>]*>", answer.papers.shown))
    for word in ("<form", "<input", "<button", "csrf", "src=", "/enquiries/", "static", "<style"):
        assert word not in tags
    assert re.findall(r'href="(?!#)[^"]*"', tags.replace("xlink:", "")) == []
    assert not re.search(r"<[^>]* (on\w+|style)=", tags)
    kinds = set(re.findall(r"<script[^>]*>", re.sub(r'id="chart-[\w-]+"', "", answer.papers.shown)))
    assert kinds == {'<script  type="application/json">'}


def test_another_template_does_not_change_a_page_that_was_issued(
    desk: Client, answer: Answer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(issued, "desk_page_of", lambda *_: "another release")
    monkeypatch.setattr(issued, "html_of", lambda *_: "another release")
    page = shown(desk, answer)
    assert answer.papers.shown in page
    assert "another release" not in page


@pytest.mark.parametrize("field", ["shown", "view"])
def test_a_page_that_was_tampered_with_is_refused_in_a_sentence(desk: Client, answer: Answer, field: str) -> None:
    changed = getattr(answer.papers, field).replace("Offer", "Other")
    Papers.objects.update(**{field: changed})
    got = desk.get(address(answer))
    page = got.content.decode()
    assert got.status_code == 422
    assert page.count(SAYS) == 1
    assert "The answer in short" not in page and "Try offer" not in page and "dossier.pdf" not in page


@pytest.mark.parametrize(("kind", "field"), [("pdf", "pdf"), ("html", "page"), ("json", "view")])
def test_a_file_that_was_tampered_with_is_not_given(desk: Client, answer: Answer, kind: str, field: str) -> None:
    Papers.objects.update(**{field: b"%PDF" if kind == "pdf" else "{}"})
    got = desk.get(f"{address(answer)}dossier.{kind}")
    assert got.status_code == 422
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
    Papers.objects.update(shown="", shown_sha256="")
    assert issued.freeze_earlier() == 1
    again = Papers.objects.get()
    frozen = again.shown
    assert again.shown_sha256 == sha256(frozen)
    for words in ("In short", "The lots", "Offers beside today", "The boards", "What it was made from"):
        assert f"<h2>{words}</h2>" in frozen
    (tmp_path / "desk").mkdir()
    (tmp_path / "desk" / "answer_body.html").write_text("another release", encoding="utf-8")
    settings.TEMPLATES = [{**settings.TEMPLATES[0], "DIRS": [tmp_path]}]
    assert issued.freeze_earlier() == 0
    assert Papers.objects.get().shown == frozen


def test_an_earlier_answer_that_was_tampered_with_gets_none(desk: Client, answer: Answer) -> None:
    Papers.objects.update(view="{}", shown="", shown_sha256="")
    assert issued.freeze_earlier() == 0
    assert SAYS in desk.get(address(answer)).content.decode()
    with pytest.raises(Refused, match="fingerprint"):
        issued.page_of(Answer.objects.get())


def decide(desk: Client, answer: Answer, **said: Any) -> Any:
    return desk.post(f"{address(answer)}decide/", said)


def test_a_draft_says_so_everywhere_and_has_no_papers(desk: Client, draft: Answer) -> None:
    page = shown(desk, draft)
    assert "Draft of an answer" in page and "draft, not issued" in page and "Valid until" not in page
    assert desk.get(f"{address(draft)}dossier.pdf").status_code == 404
    listed = desk.get(f"/enquiries/{draft.enquiry_id}/answers/").content.decode()
    assert "draft" in listed and "not yet" in listed


def test_to_issue_is_a_decision_with_a_name_and_a_note(desk: Client, draft: Answer) -> None:
    nameless = decide(desk, draft, issue="yes", who=" ", note=NOTE)
    assert nameless.status_code == 422
    assert (
        "is empty. Give the name of who decides it." in nameless.content.decode() and NOTE in nameless.content.decode()
    )
    assert decide(desk, draft, issue="yes", who="C. Example", note=NOTE).status_code == 302
    page = shown(desk, draft)
    assert "by C. Example" in page and NOTE in page
    assert issued.view_of(draft)["fingerprint"] == json.loads(draft.view)["fingerprint"]
    again = decide(desk, draft, issue="yes", who="C. Example", note="")
    assert again.status_code == 422 and "is issued already" in again.content.decode()


def test_what_takes_its_place_and_what_holds_no_more_stay_to_be_seen(
    desk: Client, answer: Answer, owner: Any, kept: dict[str, Any]
) -> None:
    job = Job.objects.create(enquiry=answer.enquiry, members=512, state=State.DONE)
    later = Answer.objects.create(enquiry=answer.enquiry, job=job, made_by=owner, **kept["answer"])
    assert f'value="{answer.pk}" checked' in shown(desk, later)
    decide(desk, later, issue="yes", who="C. Example", note="", instead_of=[str(answer.pk), "no answer"])
    assert [issued.standing(one) for one in (answer, later)] == ["superseded", "issued"]
    assert decide(desk, later, withdraw="yes", who="C. Example", note="").status_code == 422
    decide(desk, later, withdraw="yes", who="C. Example", note="The price of PD-1 was wrong.")
    page = shown(desk, later)
    assert "withdrawn" in page and "The price of PD-1 was wrong." in page and "Withdraw the answer" not in page
    assert desk.get(f"{address(later)}dossier.pdf").status_code == 200
    listed = desk.get(f"/enquiries/{answer.enquiry_id}/answers/").content.decode()
    assert "superseded" in listed and "withdrawn" in listed


def test_a_draft_can_be_deleted_and_an_issued_answer_cannot(desk: Client, draft: Answer, kept: dict[str, Any]) -> None:
    assert decide(desk, draft, discard="yes").status_code == 302
    assert not Answer.objects.exists()
    job = Job.objects.create(enquiry=draft.enquiry, members=256, state=State.DONE)
    other = Answer.objects.create(enquiry=draft.enquiry, job=job, **kept["answer"])
    decide(desk, other, issue="yes", who="C. Example")
    assert decide(desk, other, discard="yes").status_code == 422
    assert Answer.objects.exists()


def test_a_draft_of_another_release_is_worked_out_again_before_it_is_issued(desk: Client, draft: Answer) -> None:
    older = draft.drawn.replace(f'"version": "{__version__}"', '"version": "0.0.1"')
    Answer.objects.update(drawn=older, drawn_sha256=sha256(older))
    told = decide(desk, draft, issue="yes", who="C. Example")
    assert told.status_code == 422
    assert "was worked out by another release" in told.content.decode()
    assert not Papers.objects.exists()


def find(desk: Client, asked: EnquiryRow, **said: str) -> Any:
    return desk.post(f"/enquiries/{asked.pk}/answers/find/", {"draws": "2048", **said})


def test_the_same_search_leads_to_the_answer_that_is_there(desk: Client, draft: Answer) -> None:
    Job.objects.update(members=2048)
    inputs = inputs_text(enquiry_record(draft.enquiry), lot_records(draft.enquiry))
    Answer.objects.update(inputs=inputs, inputs_sha256=sha256(inputs))
    answered = find(desk, draft.enquiry)
    assert answered["Location"] == address(draft)
    assert Job.objects.count() == 1
    EnquiryRow.objects.update(processing_cost_per_t=301.0)
    assert find(desk, draft.enquiry)["Location"].endswith("/answers/")
    assert Job.objects.count() == 2


def test_ranges_nobody_touched_are_asked_about_before_a_search(desk: Client, asked: EnquiryRow) -> None:
    for name in ("PD-1", "CM-120"):
        asked.offered.filter(named__name=name).update(least_parts=0, most_parts=10_000)
    page = find(desk, asked).content.decode()
    assert "Nobody has said how much of PD-1, CM-120 a bill may hold" in page and "Search all the same" in page
    assert not Job.objects.exists()
    find(desk, asked, sure="yes")
    assert Job.objects.count() == 1


def test_thirty_lots_are_told_what_to_narrow_before_a_search_begins(desk: Client, asked: EnquiryRow) -> None:
    for number in range(30):
        add_lot(asked, replace(lots()[0], lot_id=f"X-{number}"), f"X-{number}")
        offer_lot(asked, f"X-{number}", price_per_t=400.0, least_parts=0, most_parts=2000)
    page = find(desk, asked)
    text = " ".join(re.sub(r"<[^>]*>", " ", page.content.decode()).split())
    assert page.status_code == 422
    assert re.search(r"3\d lots with up to 5 of them in one bill make [\d,]+ bills in steps of 5 %", text)
    assert re.search(r"Take lots off the list until \d+ are left, or allow at most [34] lots in one bill\.", text)
    assert "most_materials" not in text
    assert not Job.objects.exists()


def test_an_answer_that_holds_no_more_stands_in_no_way_of_the_same_question(
    desk: Client, answer: Answer, kept: dict[str, Any]
) -> None:
    inputs = kept["answer"]["inputs_sha256"]
    assert issued.alike(answer.enquiry, inputs, 256) == answer
    assert "1 issued" in shown(desk, answer)
    decide(desk, answer, withdraw="yes", who="C. Example", note="The price of PD-1 was wrong.")
    assert issued.alike(answer.enquiry, inputs, 256) is None
    page = shown(desk, answer)
    assert "1 that holds no more" in page and "1 issued" not in page


def test_a_draft_of_another_release_is_worked_out_anew_when_it_is_asked_again(
    draft: Answer, kept: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """It cannot be issued and says: find bills again. That must not lead back to it."""
    inputs = kept["answer"]["inputs_sha256"]
    assert issued.alike(draft.enquiry, inputs, 256) == draft
    monkeypatch.setattr(as_frozen, "__version__", "99.0")
    assert issued.alike(draft.enquiry, inputs, 256) is None


def customers_part(text: str) -> str:
    """The customer's part of a page."""
    return text[text.index('<section id="customer"') : text.index('<section id="answer"')]


def advisers_part(text: str) -> str:
    """The adviser's part of a page, with what stands before and after the order."""
    order = text.index('<section id="order"')
    return text[text.index('<section id="answer"') : order] + text[text.index("</section>", order) :]


def order_part(text: str) -> str:
    """The mash-house order of a page, which goes with the customer's pages into their language."""
    order = text.index('<section id="order"')
    return text[order : text.index("</section>", order)]


@pytest.mark.parametrize("stands", ["draft", "answer"])
def test_the_customers_pages_stand_in_the_other_language_too(
    desk: Client, request: pytest.FixtureRequest, stands: str
) -> None:
    asked = request.getfixturevalue(stands)
    english, german = (desk.get(address(asked), {"language": language}).content.decode() for language in ("", "de"))
    assert 'lang="en"' in customers_part(english)
    assert 'lang="de"' in customers_part(german)
    assert customers_part(english).count("<tr") == customers_part(german).count("<tr") > 3
    assert advisers_part(english) == advisers_part(german)
    assert "Mash-house order: " in order_part(english) and "Sudhaus-Auftrag: " in order_part(german)
    assert order_part(english).count("<tr") == order_part(german).count("<tr") > 3
    assert 'aria-current="true">German</a>' in german
    assert 'aria-current="true">English</a>' in english
    assert customers_part(desk.get(address(asked), {"language": "fr"}).content.decode()) == customers_part(english)


def test_the_pdf_in_the_other_language_is_frozen_with_what_is_issued(desk: Client, answer: Answer) -> None:
    kept = answer.papers.in_others.get()
    where = f"{address(answer)}dossier-de.pdf"
    assert f'href="{where}">PDF in German</a>' in shown(desk, answer)
    got = desk.get(where)
    assert got.content == bytes(kept.pdf) != bytes(answer.papers.pdf)
    assert got["Content-Disposition"].endswith('-dossier-de.pdf"')
    assert sha256(got.content) == kept.pdf_sha256
    assert desk.get(f"{address(answer)}dossier-fr.pdf").status_code == 404


def test_a_draft_has_no_pdf_in_any_language(desk: Client, draft: Answer) -> None:
    assert desk.get(f"{address(draft)}dossier-de.pdf").status_code == 404


def test_what_was_changed_in_the_tables_is_not_given_in_german_either(desk: Client, answer: Answer) -> None:
    InOtherLanguage.objects.update(pdf=b"%PDF another", shown="another")
    for where in (f"{address(answer)}dossier-de.pdf", f"{address(answer)}?language=de"):
        got = desk.get(where)
        assert got.status_code == 422
        assert SAYS in got.content.decode()


def of_an_earlier_release(answer: Answer) -> None:
    """As a draft was kept before it had pages for the customer."""
    view, drawn = json.loads(answer.view), json.loads(answer.drawn)
    for data in (view, drawn["data"]):
        del data["customer_pages"]
        data["provenance"]["version"] = "0.1"
    shown = re.sub(r'<section id="customer".*?</section>', "", answer.shown, flags=re.DOTALL)
    texts = {"view": json.dumps(view), "drawn": json.dumps(drawn), "shown": shown}
    Answer.objects.filter(pk=answer.pk).update(
        **texts, **{f"{name}_sha256": sha256(text) for name, text in texts.items()}
    )


def test_a_draft_of_a_release_without_these_pages_is_shown_as_it_was(desk: Client, draft: Answer) -> None:
    of_an_earlier_release(draft)
    text = shown(desk, draft)
    assert "Customer's pages in" not in text
    assert 'id="answer"' in text
    assert desk.get(address(draft), {"language": "de"}).content.decode().count('lang="de"') == 0
    answered = desk.post(f"{address(draft)}decide/", {"who": "B", "issue": "yes"})
    assert "was worked out by another release" in answered.content.decode()


def test_a_draft_of_another_release_has_its_own_language_alone(desk: Client, draft: Answer) -> None:
    view = json.loads(draft.view)
    view["provenance"]["version"] = "99.0"
    text = json.dumps(view)
    Answer.objects.filter(pk=draft.pk).update(view=text, view_sha256=sha256(text))
    assert "Customer's pages in" not in shown(desk, draft)


def test_what_somebody_decided_while_the_papers_were_printed_stands(
    draft: Answer, owner: Any, kept: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    def printed(of: Answer, _: Any) -> Papers:
        Papers.objects.create(answer=of, **kept["papers"])
        AnswerStep.objects.create(answer=of, kind=Decision.ISSUED, who="C. Example", note="", by=owner)
        return Papers(answer=of, **kept["papers"])

    monkeypatch.setattr(issued, "_printed", printed)
    monkeypatch.setattr(issued.tongues, "printed_in_others", lambda *_: [])
    with pytest.raises(Refused, match=r"issued already"):
        issued.issue(draft, owner, "B. Example", NOTE)
    assert AnswerStep.objects.count() == Papers.objects.count() == 1
