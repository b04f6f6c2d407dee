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

from gristwright.basics import Light
from gristwright.store.frozen import sha256
from gristwright.store.models import Answer, Enquiry
from gristwright.store.models.work import State
from gristwright.workbench import jobs, trying
from gristwright.workbench.changes import changes

ASKED_ON, ISSUED_AT = dt.date(2026, 3, 2), dt.datetime(2026, 3, 10, 23, 40, tzinfo=dt.UTC)
DATE, UNTIL = "10 March 2026", "8 June 2026"


@pytest.fixture
def answer(asked: Enquiry, owner: Any, monkeypatch: pytest.MonkeyPatch) -> Answer:
    """An answer issued eight days after the date of its enquiry."""
    Enquiry.objects.update(date=ASKED_ON)
    monkeypatch.setattr(timezone, "now", lambda: ISSUED_AT)
    jobs.ask(Enquiry.objects.get(), 256, owner)
    job = jobs.claim()
    assert job is not None
    jobs.run(job)
    job.refresh_from_db()
    assert job.state == State.DONE, job.said
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
    said, view = pages_of(desk, answer), jobs.view_of(answer)
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


def test_list_and_changes_name_the_answer_by_the_same_date_and_fingerprint(desk: Client, answer: Answer) -> None:
    view = jobs.view_of(answer)
    text = words(desk.get(f"/enquiries/{answer.enquiry_id}/answers/"))
    assert f"{DATE}, 23:40" in text
    assert view["fingerprint"] in text
    assert [change.new for change in changes(answer.enquiry) if change.what == "Answer"] == [view["fingerprint"]]


def test_another_answer_of_the_same_inputs_has_another_fingerprint(answer: Answer, owner: Any) -> None:
    jobs.ask(answer.enquiry, 512, owner)
    job = jobs.claim()
    assert job is not None
    jobs.run(job)
    one, other = Answer.objects.all()
    assert one.inputs_sha256 == other.inputs_sha256
    assert jobs.view_of(one)["fingerprint"] != jobs.view_of(other)["fingerprint"]


def test_an_answer_from_before_is_known_by_what_its_papers_print(desk: Client, answer: Answer) -> None:
    view = jobs.view_of(answer)
    del view["fingerprint"], view["notes"]["law"]
    text = json.dumps(view)
    Answer.objects.update(view=text, view_sha256=sha256(text))
    digest = view["provenance"]["inputs_digest"]
    assert f"fingerprint {digest}" in words(desk.get(f"/enquiries/{answer.enquiry_id}/answers/{answer.pk}/"))
    assert digest in words(desk.get(f"/enquiries/{answer.enquiry_id}/answers/"))


def boards(page: Any) -> list[tuple[str, str, str]]:
    """Every board of the bill page: today's and this bill's word and chance."""
    return [(board["title"], *(f"{b['light']} {b['chance']}" if b else "" for b in (before, board)))
            for board, before in page.context["view"]["boards"]]  # fmt: skip


def test_the_bill_page_shows_the_boards_of_an_answered_bill_as_they_were_issued(desk: Client, answer: Answer) -> None:
    view, here = jobs.view_of(answer), f"/enquiries/{answer.enquiry_id}/"
    for offer in view["offers"]:
        sent = {f"share.{share['key']}": str(share["middle"]) for share in offer["bill"]["shares"]}
        page = desk.post(f"{here}try/", sent, follow=True)
        issued = [
            (board["title"], *(f"{b['light']} {b['chance']}" for b in (before, board)))
            for board, before in zip(offer["bill"]["boards"], view["present"]["boards"], strict=True)
            if not board["key"].startswith("law.")
        ]
        assert boards(page) == issued
        assert f"As issued on {DATE}, fingerprint {view['fingerprint']}, 256 draws" in words(page)


def test_a_bill_that_no_answer_holds_is_worked_out_and_what_the_answer_says_otherwise_is_told(
    desk: Client, answer: Answer, monkeypatch: pytest.MonkeyPatch
) -> None:
    here = f"/enquiries/{answer.enquiry_id}/"
    page = desk.post(f"{here}try/", {"share.PD-1": "97,3", "share.CM-120": "2,7"}, follow=True)
    assert "As issued on" not in words(page)
    view = jobs.view_of(answer)
    board = next(one for one in view["present"]["boards"] if one["title"] == "Run-off")
    board["light"], board["chance"] = Light.RED.value, "77 %"
    text = json.dumps(view)
    Answer.objects.update(view=text, view_sha256=sha256(text))
    issued = f"The answer of {DATE} (fingerprint {view['fingerprint']}, 256 draws)"
    told = f"{issued} says of today's bill: Run-off not in order, 77 %."
    assert told in words(desk.get(here))


def test_an_answer_of_other_inputs_says_nothing_of_the_bill(desk: Client, answer: Answer) -> None:
    Enquiry.objects.update(processing_cost_per_t=123.0)
    assert "As issued on" not in words(desk.get(f"/enquiries/{answer.enquiry_id}/"))


def test_an_answer_that_was_tampered_with_is_not_believed(desk: Client, answer: Answer) -> None:
    Answer.objects.update(view="{}")
    page = desk.get(f"/enquiries/{answer.enquiry_id}/")
    assert page.status_code == 200
    assert "As issued on" not in words(page)


def test_a_bill_is_tried_on_the_draws_of_a_usual_search() -> None:
    assert jobs.DRAWS[0] == trying.MEMBERS
