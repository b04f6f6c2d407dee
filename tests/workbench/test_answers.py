"""One answer has one date, one fingerprint and one word for each board, on the page and in every file of it."""

from __future__ import annotations

import datetime as dt
import io
import json
import re
from html import unescape
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone
from pypdf import PdfReader

from gristwright.documents.data import as_data
from gristwright.store.frozen import sha256
from gristwright.store.models import Answer, EnquiryRow, Papers
from gristwright.store.models.work import State
from gristwright.workbench import issued, jobs, trying
from gristwright.workbench.changes import changes
from scenario import lots

ASKED_ON, ISSUED_AT = dt.date(2026, 3, 2), dt.datetime(2026, 3, 10, 23, 40, tzinfo=dt.UTC)
DATE, UNTIL = "10 March 2026", "8 June 2026"


@pytest.fixture
def answer(asked: EnquiryRow, owner: Any, monkeypatch: pytest.MonkeyPatch, found_once: None) -> Answer:
    """An answer issued eight days after the date of its enquiry."""
    EnquiryRow.objects.update(date=ASKED_ON)
    monkeypatch.setattr(timezone, "now", lambda: ISSUED_AT)
    jobs.ask(EnquiryRow.objects.get(), 256, owner)
    job = jobs.claim()
    assert job is not None
    jobs.run(job)
    job.refresh_from_db()
    assert job.state == State.DONE, job.said
    issued.issue(Answer.objects.get(), owner, "A. Example", "As agreed on the telephone.")
    return Answer.objects.get()


def words(page: Any) -> str:
    """What a page says, in one line."""
    text = re.sub(r"<script.*?</script>|<[^>]*>", " ", page.content.decode(), flags=re.DOTALL)
    return " ".join(unescape(text).split())


def pages_of(desk: Client, answer: Answer) -> dict[str, str]:
    """The text of the answer on the desk and in its three files."""
    here = f"/enquiries/{answer.enquiry_id}/answers/{answer.pk}/"
    files = {kind: desk.get(f"{here}dossier.{kind}") for kind in ("pdf", "html", "json")}
    assert {kind: f'filename="2026-03-10-dossier.{kind}"' in file["Content-Disposition"]
            for kind, file in files.items()} == {"pdf": True, "html": True, "json": True}  # fmt: skip
    pdf = PdfReader(io.BytesIO(files["pdf"].content))
    return {
        "page": words(desk.get(here)),
        "pdf": " ".join(" ".join(one.extract_text() for one in pdf.pages).split()),
        "html": words(files["html"]),
        "json": files["json"].content.decode(),
    }


def test_page_and_files_have_one_date_one_fingerprint_and_the_same_boards(desk: Client, answer: Answer) -> None:
    said, view = pages_of(desk, answer), issued.view_of(answer)
    for name, text in said.items():
        assert DATE in text, name
        assert UNTIL in text, name
        assert view["fingerprint"] in text, name
    assert re.findall(r"Answer of (\d+ \w+ \d+)", said["page"]) == [DATE]
    assert re.findall(r"Issued (\d+ \w+ \d+)", said["pdf"]) == [DATE]
    assert "rules in force on 2 March 2026, the date of the enquiry" in said["page"]
    assert "rules in force on 2 March 2026, the date of the enquiry" in said["pdf"]
    assert json.loads(said["json"]) == view
    squeezed = {name: re.sub(r"[\W_]+", "", text) for name, text in said.items()}
    for row in view["boards"]["rows"]:
        cells = re.sub(r"[\W_]+", "", "".join(cell["text"] + cell["under"] for cell in row["cells"]))
        for name in ("page", "pdf", "html"):
            assert cells in squeezed[name], (name, row["label"])


def test_page_and_files_say_of_every_lot_what_it_is_known_by(desk: Client, answer: Answer) -> None:
    said, rows = pages_of(desk, answer), issued.view_of(answer)["lots_table"]["rows"]
    given = {lot.lot_id: lot.identity for lot in lots()}
    assert len(rows) > 1
    for row in rows:
        known = given[row["lot"]]
        line = (row["lot"], known.supplier, known.lot_number, str(known.crop), row["type"], known.certificate[:12])
        for name in ("page", "pdf", "html"):
            assert " ".join(line) in said[name], (name, line)


def test_list_and_changes_name_the_answer_by_the_same_date_and_fingerprint(desk: Client, answer: Answer) -> None:
    view = issued.view_of(answer)
    text = words(desk.get(f"/enquiries/{answer.enquiry_id}/answers/"))
    assert f"{DATE}, 23:40" in text
    assert view["fingerprint"] in text
    told = [change for change in changes(answer.enquiry) if change.what.startswith("Answer")]
    assert {(change.verb, change.who) for change in told} == {("drafted", "A.Example"), ("issued", "A. Example")}
    assert all(view["fingerprint"] in f"{change.what} {change.new}" for change in told)


def test_another_answer_of_the_same_inputs_has_another_fingerprint(answer: Answer, owner: Any) -> None:
    jobs.ask(answer.enquiry, 512, owner)
    job = jobs.claim()
    assert job is not None
    jobs.run(job)
    one, other = Answer.objects.all()
    assert one.inputs_sha256 == other.inputs_sha256
    assert issued.view_of(one)["fingerprint"] != issued.view_of(other)["fingerprint"]


def test_an_answer_from_before_is_known_by_what_its_papers_print(desk: Client, answer: Answer) -> None:
    view = issued.view_of(answer)
    del view["fingerprint"], view["notes"]["law"], view["lots_table"], view["issue"]
    text = json.dumps(view)
    Answer.objects.update(view=text, view_sha256=sha256(text), drawn="", drawn_sha256="", shown="", shown_sha256="")
    Papers.objects.update(view=text, view_sha256=sha256(text), shown="", shown_sha256="")
    assert issued.freeze_earlier() == 1
    digest = view["provenance"]["inputs_digest"]
    assert f"fingerprint {digest}" in words(desk.get(f"/enquiries/{answer.enquiry_id}/answers/{answer.pk}/"))
    assert digest in words(desk.get(f"/enquiries/{answer.enquiry_id}/answers/"))


def boards(bill: dict[str, Any]) -> list[tuple[str, str, str]]:
    """Every board of a bill but those of the law, with its word and chance."""
    return [(b["title"], b["light"], b["chance"]) for b in bill["boards"] if not b["key"].startswith("law.")]


def figures(bill: dict[str, Any]) -> dict[str, tuple[str, str]]:
    return {key: (figure["at"], figure["range"]) for key, figure in bill["figures"].items()}


def test_the_bill_page_and_the_answer_say_the_same_of_every_bill(
    desk: Client, answer: Answer, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One function answers both: figures, boards and ledger are those of the dossier, to the last digit printed."""
    monkeypatch.setattr("gristwright.workbench.views.bill.MEMBERS", answer.job.members)
    view, here = issued.view_of(answer), f"/enquiries/{answer.enquiry_id}/"
    for bill in (view["present"], *(offer["bill"] for offer in view["offers"])):
        sent = {f"share.{share['key']}": str(share["middle"]) for share in bill["shares"]}
        page = desk.post(f"{here}try/", sent, follow=True).context["view"]
        this, today = as_data(page.this), as_data(page.today)
        assert boards(this) == boards(bill)
        assert boards(today) == boards(view["present"])
        assert figures(this) == figures(bill)
        assert [row["text"] for row in this["ledger"]["rows"]] == [row["text"] for row in bill["ledger"]["rows"]]


def test_day_and_hour_are_those_of_the_clock_on_the_wall_in_page_and_files(
    desk: Client, asked: EnquiryRow, owner: Any, monkeypatch: pytest.MonkeyPatch, settings: Any, found_once: None
) -> None:
    settings.TIME_ZONE = "Pacific/Auckland"
    monkeypatch.setattr(timezone, "now", lambda: ISSUED_AT)
    jobs.ask(asked, 256, owner)
    job = jobs.claim()
    assert job is not None
    jobs.run(job)
    issued.issue(Answer.objects.get(), owner, "A. Example", "")
    here = f"/enquiries/{asked.pk}/answers/{Answer.objects.get().pk}/"
    for kind in ("html", "json"):
        text = desk.get(f"{here}dossier.{kind}").content.decode()
        assert "11 March 2026" in text and "10 March 2026" not in text
    assert "11 March 2026, 12:40 by A. Example" in words(desk.get(here))


def test_an_answer_that_was_tampered_with_does_not_hinder_the_bill(desk: Client, answer: Answer) -> None:
    Papers.objects.update(view="{}")
    assert desk.get(f"/enquiries/{answer.enquiry_id}/").status_code == 200


def test_a_bill_is_tried_on_the_draws_of_a_usual_search() -> None:
    assert jobs.DRAWS[0] == trying.MEMBERS
