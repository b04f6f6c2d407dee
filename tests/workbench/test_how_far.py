"""A fault of the cask or of the law never hides the mash and the litres: the bill page goes as far as new spirit."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from gristwright.store.mapping import enquiry_record
from gristwright.store.models import CaskVersion, EnquiryRow, Job
from gristwright.store.models.work import State
from gristwright.store.versions import keep, newest
from gristwright.workbench import jobs
from pages import link_of, words

INCOMPLETE: dict[str, dict[str, Any]] = {
    "nothing said": {},
    "a kind alone": {"kind": {"name": "butt"}},
}


def bill(desk: Client, asked: EnquiryRow) -> Any:
    return desk.get(f"/enquiries/{asked.pk}/?final")


def figures(page: Any) -> dict[str, tuple[str, str]]:
    return {row.this.label: (row.this.at, row.this.range) for row in page.context["view"].figures}


@pytest.mark.parametrize("name", INCOMPLETE)
def test_without_a_whole_cask_the_figures_to_new_spirit_are_those_with_one(
    desk: Client, asked: EnquiryRow, name: str
) -> None:
    whole = bill(desk, asked)
    keep(CaskVersion, asked, INCOMPLETE[name])
    page = bill(desk, asked)
    assert page.status_code == 200
    assert figures(page) == figures(whole)
    rows = [this.label for this, _ in page.context["view"].ledger]
    assert rows == [this.label for this, _ in whole.context["view"].ledger][: len(rows)]
    assert rows[-1] == "New spirit filled"
    same = [this.reference for this, _ in whole.context["view"].ledger][: len(rows)]
    assert [this.reference for this, _ in page.context["view"].ledger] == same


def test_what_the_cask_lacks_stands_in_one_line_with_its_links(desk: Client, asked: EnquiryRow) -> None:
    keep(CaskVersion, asked, {"kind": {"name": "butt"}})
    page = bill(desk, asked)
    text = page.content.decode()
    assert 'class="problems"' not in text
    assert text.count("<li>", text.index('class="next"'), text.index("</section>", text.index('class="next"'))) == 1
    assert "Cask: 4 missing (store" in words(page)
    assert link_of(page, "store").startswith(f"/enquiries/{asked.pk}/cask/#")
    assert "The law asks about the cask too" in words(page)


def test_a_cask_that_cannot_be_hides_nothing_but_what_follows_it(desk: Client, asked: EnquiryRow) -> None:
    keep(CaskVersion, asked, {**newest(CaskVersion, asked), "entry_abv_pct": 99.0})
    page = bill(desk, asked)
    assert page.context["view"] is not None
    assert "cask, strength at filling: 99 %vol is outside" in words(page)


def test_a_name_that_the_rule_book_does_not_have_hides_nothing(desk: Client, asked: EnquiryRow) -> None:
    before = figures(bill(desk, asked))
    EnquiryRow.objects.update(categories=["no.such.name"])
    page = bill(desk, asked)
    assert figures(page) == before
    assert "is not a category we have" in words(page)


def test_what_the_house_lacks_is_still_waited_for(desk: Client, asked: EnquiryRow) -> None:
    EnquiryRow.objects.update(date=None)
    keep(CaskVersion, asked, {})
    assert bill(desk, asked).context["view"] is None


@pytest.mark.parametrize("what", ["mash", "mash/map"])
def test_a_mash_is_simulated_without_a_cask_and_a_search_is_not(desk: Client, asked: EnquiryRow, what: str) -> None:
    keep(CaskVersion, asked, {})
    shares = {f"share.{s.lot_id}": f"{s.parts / 100:g}" for s in enquiry_shares(asked)}
    assert desk.post(f"/enquiries/{asked.pk}/{what}/", shares | {"points": "3"}).status_code == 302
    job = jobs.claim()
    assert job is not None
    jobs.run(job)
    assert Job.objects.get().state == State.DONE
    assert desk.post(f"/enquiries/{asked.pk}/answers/find/").status_code == 422


def enquiry_shares(asked: EnquiryRow) -> Any:
    return asked.shares.all()


def test_a_whole_enquiry_is_read_as_before(asked: EnquiryRow) -> None:
    assert enquiry_record(asked).cask.bottle_abv_pct > 0.0
