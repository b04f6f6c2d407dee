"""A search as a job: asked, followed, stopped, refused, cut short; and the answer it leaves."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.test import Client

from gristwright.basics import Refused
from gristwright.documents.entries import unresolved
from gristwright.store.frozen import sha256
from gristwright.store.models import Answer, EnquiryRow, Job, Papers
from gristwright.store.models.work import State
from gristwright.workbench import issued, jobs
from pages import words


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Few draws, so that a search ends soon."""
    monkeypatch.setattr(jobs, "DRAWS", (512,))


def worked(asked: EnquiryRow, owner: Any) -> Job:
    job = jobs.ask(asked, 512, owner)
    claimed = jobs.claim()
    assert claimed is not None
    jobs.run(claimed)
    job.refresh_from_db()
    return job


@pytest.mark.usefixtures("found_once")
def test_a_search_leaves_an_answer_with_its_fingerprints(
    desk: Client, asked: EnquiryRow, owner: Any, quick: None
) -> None:
    assert desk.post(f"/enquiries/{asked.pk}/answers/find/").status_code == 302
    claimed = jobs.claim()
    assert claimed is not None
    jobs.run(claimed)
    answer = Answer.objects.get()
    assert (answer.job.state, answer.made_by) == (State.DONE, owner)
    assert answer.view_sha256 == sha256(answer.view)
    here = f"/enquiries/{asked.pk}/answers/{answer.pk}/"
    assert desk.get(f"{here}dossier.pdf").status_code == 404
    assert desk.post(f"{here}decide/", {"who": "A. Example", "issue": "yes"}).status_code == 302
    papers = Papers.objects.get()
    assert papers.pdf_sha256 == sha256(bytes(papers.pdf))
    view = json.loads(answer.view)
    assert unresolved(view) == []
    assert view["provenance"]["inputs"][0]["sha256"] == answer.inputs_sha256
    assert len(view["offers"]) > 1
    page = desk.get(f"/enquiries/{asked.pk}/answers/{answer.pk}/").content.decode()
    assert view["offers"][0]["name"] in answer.shown
    assert answer.shown_sha256 == sha256(answer.shown)
    assert papers.shown in page
    for kind, start in (("pdf", b"%PDF"), ("json", b"{"), ("html", b"<!")):
        given = desk.get(f"/enquiries/{asked.pk}/answers/{answer.pk}/dossier.{kind}")
        assert given.content.lstrip().startswith(start)
        assert "attachment" in given["Content-Disposition"]
    assert "the same" in desk.get(f"/enquiries/{asked.pk}/answers/").content.decode()
    EnquiryRow.objects.update(processing_cost_per_t=300.0)
    assert "changed" in desk.get(f"/enquiries/{asked.pk}/answers/").content.decode()


@pytest.mark.usefixtures("found_once")
def test_an_answer_that_was_tampered_with_is_not_shown(asked: EnquiryRow, owner: Any) -> None:
    worked(asked, owner)
    Answer.objects.update(view="{}")
    with pytest.raises(Refused, match="fingerprint"):
        issued.view_of(Answer.objects.get())


def test_one_search_of_an_enquiry_at_a_time(desk: Client, asked: EnquiryRow, owner: Any) -> None:
    jobs.ask(asked, 512, owner)
    answer = desk.post(f"/enquiries/{asked.pk}/answers/find/")
    assert answer.status_code == 422
    assert "one is under way already" in answer.content.decode()
    assert Job.objects.count() == 1


def test_a_running_search_stops_at_its_next_tick(asked: EnquiryRow, owner: Any) -> None:
    job = jobs.ask(asked, 512, owner)
    claimed = jobs.claim()
    assert claimed is not None
    jobs.stop(job)
    jobs.run(claimed)
    job.refresh_from_db()
    assert job.state == State.STOPPED
    assert not Answer.objects.exists()


def test_a_waiting_search_stops_at_once(asked: EnquiryRow, owner: Any) -> None:
    job = jobs.ask(asked, 512, owner)
    jobs.stop(job)
    job.refresh_from_db()
    assert job.state == State.STOPPED
    assert jobs.claim() is None


def test_an_incomplete_enquiry_is_refused_before_it_waits(desk: Client, asked: EnquiryRow) -> None:
    EnquiryRow.objects.update(plant=None)
    answer = desk.post(f"/enquiries/{asked.pk}/answers/find/")
    assert answer.status_code == 422
    assert "House: 10 missing (name of the house" in words(answer)
    assert not Job.objects.exists()


def test_what_the_casework_refuses_is_said_by_the_job(asked: EnquiryRow, owner: Any) -> None:
    EnquiryRow.objects.update(record_mean_lpa_per_t=250.0)
    job = worked(asked, owner)
    assert job.state == State.REFUSED
    assert "cannot be explained" in job.said[0]


def test_a_fault_of_ours_ends_the_job_and_is_raised(
    asked: EnquiryRow, owner: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(jobs.recommend, "dossier", lambda *_, **__: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        worked(asked, owner)
    assert Job.objects.get().state == State.FAILED


def test_a_job_cut_short_says_so_at_the_next_start(desk: Client, asked: EnquiryRow, owner: Any) -> None:
    jobs.ask(asked, 512, owner)
    jobs.claim()
    assert jobs.interrupt_running() == 1
    page = desk.get(f"/enquiries/{asked.pk}/answers/").content.decode()
    assert "Interrupted" in page
    assert jobs.CUT_SHORT in page
    jobs.ask(asked, 512, owner)


def test_progress_is_told_now_and_then(asked: EnquiryRow, owner: Any) -> None:
    job = jobs.ask(asked, 512, owner)
    times = iter([0.0, 0.05, 0.3])
    tick = jobs.ticker(job, lambda: next(times))
    tick(1, 10, "looking")
    tick(2, 10, "looking")
    job.refresh_from_db()
    assert (job.done, job.total, job.note) == (1, 10, "looking")
    tick(3, 10, "looking")
    job.refresh_from_db()
    assert job.done == 3


def test_the_page_follows_a_job_and_is_sent_anew_at_its_end(desk: Client, asked: EnquiryRow, owner: Any) -> None:
    job = jobs.ask(asked, 512, owner)
    address = f"/enquiries/{asked.pk}/jobs/{job.pk}/"
    assert "HX-Refresh" not in desk.get(address)
    jobs.stop(job)
    assert desk.get(address)["HX-Refresh"] == "true"


def test_an_open_job_is_looked_at_again_without_a_script(desk: Client, asked: EnquiryRow, owner: Any) -> None:
    jobs.ask(asked, 512, owner)
    assert '<noscript><meta http-equiv="refresh"' in desk.get(f"/enquiries/{asked.pk}/answers/").content.decode()
