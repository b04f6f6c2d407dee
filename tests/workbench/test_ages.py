"""Prices at release and casks of known age at the desk: kept, refused in place, taken away, told under Changes."""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from casework.full import claiming
from gristwright.basics import Refused
from gristwright.records.ageing import ArmGrist
from gristwright.store.mapping import enquiry_record, save_enquiry
from gristwright.store.models import EnquiryRow
from gristwright.workbench import jobs, starting
from gristwright.workbench.changes import changes
from programme import CLAIM, FOLDER, arms, ladder
from scenario import FOLDER as SCENARIO
from scenario import enquiry as scenario_enquiry
from scenario import lots

GRIST = "A: pale_distilling_malt 95, caramel_malt_medium 5"
FILES = ("enquiry.toml", "plant.toml", "bill.toml", "lots.csv")


def file(name: str, content: bytes | None = None) -> SimpleUploadedFile:
    return SimpleUploadedFile(name, (FOLDER / name).read_bytes() if content is None else content)


def said(**more: Any) -> dict[str, Any]:
    told = {"claims": "3:6-8", "grists": GRIST, "model": "line", "count": "", "ladder": file("ladder.csv")}
    told |= {"arms": file("arms.csv")} | more
    return {f"claim-{name}": value for name, value in told.items()}


def here(asked: EnquiryRow, page: str = "") -> str:
    return f"/enquiries/{asked.pk}/age/{page}"


def prices(**more: str) -> dict[str, str]:
    return {"cask_price": "120", "fills": "3", "interest_pct_per_year": "5,5", "rent_per_cask_year": "", **more}


def post(desk: Client, asked: EnquiryRow, name: str, sent: dict[str, Any], **more: Any) -> Any:
    """Send one of the two forms of the page, opened just now."""
    met = desk.get(here(asked)).context[{"claim": "met_claim", "prices": "met_release"}[name]]
    return desk.post(here(asked, f"{name}/"), {"was": met.was, **sent}, **more)


def test_prices_are_kept_with_a_decimal_comma_and_told(desk: Client, asked: EnquiryRow) -> None:
    assert post(desk, asked, "prices", prices()).status_code == 302
    release = enquiry_record(EnquiryRow.objects.get()).release
    assert release is not None
    assert (release.cask_price, release.interest_pct_per_year, release.rent_per_cask_year) == (120.0, 5.5, 0.0)
    assert any(change.what == "Prices at release: Interest" and change.new == "5.5" for change in changes(asked))


def test_new_make_by_the_books_is_kept(desk: Client, asked: EnquiryRow) -> None:
    post(desk, asked, "prices", prices(new_make_cost_per_lpa="4,35"))
    release = enquiry_record(EnquiryRow.objects.get()).release
    assert release is not None and release.new_make_cost_per_lpa == 4.35
    refused = post(desk, asked, "prices", prices(new_make_cost_per_lpa="-1"))
    assert "0 to 1000" in refused.content.decode()


def test_all_prices_empty_is_no_price(desk: Client, asked: EnquiryRow) -> None:
    empty = dict.fromkeys(desk.get(here(asked)).context["release"].fields, "")
    post(desk, asked, "prices", empty)
    assert enquiry_record(EnquiryRow.objects.get()).release is None
    post(desk, asked, "prices", empty)
    assert not hasattr(EnquiryRow.objects.get(), "release")


@pytest.mark.parametrize(
    ("sent", "told"),
    [
        ({"interest_pct_per_year": "600"}, "600 % a year is outside 0 to 50 % a year"),
        ({"evaporation_low_pct_per_year": "2"}, "Evaporation has one end only"),
        ({"evaporation_low_pct_per_year": "3", "evaporation_high_pct_per_year": "2"}, "is above the high, 2"),
        ({"cask_price": "much"}, "&#x27;much&#x27; is not a number"),
    ],
)
def test_a_price_that_cannot_be_is_refused_in_place(
    desk: Client, asked: EnquiryRow, sent: dict[str, str], told: str
) -> None:
    before = enquiry_record(EnquiryRow.objects.get())
    answer = post(desk, asked, "prices", prices(**sent))
    assert answer.status_code == 422
    assert told in answer.content.decode()
    assert enquiry_record(EnquiryRow.objects.get()) == before


def test_a_claim_is_kept_as_its_files_read(desk: Client, asked: EnquiryRow) -> None:
    assert post(desk, asked, "claim", said()).status_code == 302
    claim = enquiry_record(EnquiryRow.objects.get()).claim
    assert claim is not None
    assert (claim.claims, claim.ladder, claim.arms) == ((CLAIM,), ladder(), arms())
    assert claim.grists == (ArmGrist("A", (("pale_distilling_malt", 9500), ("caramel_malt_medium", 500))),)
    page = desk.get(here(asked)).content.decode()
    assert "Higher sweetness, no evidence of greater maturity" in page
    assert "it reads like 6 to 8 years: supported" in page
    assert "none of it may be printed on a label" in page


def test_what_a_scale_speaks_of_is_kept_and_said(desk: Client, asked: EnquiryRow) -> None:
    """Roast, called immature by the house: it rises nowhere with age on this ladder, and the page says so."""
    tables = {
        name: file(
            f"{name}.csv", (FOLDER / f"{name}.csv").read_bytes().replace(b"roast [0-10]", b'"roast [0-10, immature]"')
        )
        for name in ("ladder", "arms")
    }
    post(desk, asked, "claim", said(**tables))
    claim = enquiry_record(EnquiryRow.objects.get()).claim
    assert claim is not None
    assert claim.ladder.speaks_of == claim.arms.speaks_of == {"roast": "immature"}
    page = desk.get(here(asked)).content.decode()
    assert "speaks of immaturity" in page and "[0-10, immature]" in page


def test_ages_and_shares_of_a_claim_may_have_decimal_commas(desk: Client, asked: EnquiryRow) -> None:
    sent = {"claims": "3:6,5-8,5", "grists": "A: pale_distilling_malt 92,5, caramel_malt_medium 7,5"}
    assert post(desk, asked, "claim", said(**sent)).status_code == 302
    claim = enquiry_record(EnquiryRow.objects.get()).claim
    assert claim is not None
    assert (claim.claims[0].low, claim.claims[0].high) == (6.5, 8.5)
    assert claim.grists[0].parts == (("pale_distilling_malt", 9250), ("caramel_malt_medium", 750))


def test_a_kept_file_need_not_be_sent_again(desk: Client, asked: EnquiryRow) -> None:
    post(desk, asked, "claim", said())
    again = {name: value for name, value in said(claims="3:5").items() if name not in ("claim-ladder", "claim-arms")}
    assert post(desk, asked, "claim", again).status_code == 302
    claim = enquiry_record(EnquiryRow.objects.get()).claim
    assert claim is not None and claim.claims[0].low == 5.0 and claim.ladder == ladder()
    assert any(change.what == "Casks of known age: Claims" for change in changes(asked))


def test_casks_are_taken_away(desk: Client, asked: EnquiryRow) -> None:
    post(desk, asked, "claim", said())
    post(desk, asked, "claim", {"take_away": "yes"})
    assert enquiry_record(EnquiryRow.objects.get()).claim is None
    assert desk.get(here(asked)).status_code == 200


@pytest.mark.parametrize(
    ("sent", "told"),
    [
        ({"claims": "6-8"}, "&#x27;6-8&#x27; is no claim"),
        ({"claims": "6:3"}, "is no claim of greater age"),
        ({"arms": ""}, "No file was chosen"),
        ({"ladder": file("ladder.csv", b"%PDF-1.7")}, "ladder.csv"),
        ({"ladder": file("ladder.csv", b"cask,age_years,vanillin [mg/L]\nR,3,1\n")}, "one age is no ladder"),
        ({"grists": "A: caramel 100"}, "is no type of malt or grain"),
        ({"grists": "A: pale_distilling_malt 90"}, "make 90 %. Make them 100 %."),
        ({"grists": "A pale"}, "cannot be read. Write arm, colon, type and share"),
        ({"grists": "Z: pale_distilling_malt 100"}, "no arm &#x27;Z&#x27; in arms.csv"),
    ],
)
def test_a_claim_that_cannot_be_is_refused_in_place(desk: Client, asked: EnquiryRow, sent: Any, told: str) -> None:
    answer = post(desk, asked, "claim", said(**sent))
    assert answer.status_code == 422
    assert told in answer.content.decode()
    assert enquiry_record(EnquiryRow.objects.get()).claim is None


def test_faults_of_every_field_are_told_at_once(desk: Client, asked: EnquiryRow) -> None:
    page = post(desk, asked, "claim", said(claims="6-8", grists="A: caramel 100", ladder="")).content.decode()
    for told in ("is no claim", "is no type of malt or grain", "No file was chosen"):
        assert told in page


def test_what_was_left_out_of_a_file_is_told(desk: Client, asked: EnquiryRow) -> None:
    table = (FOLDER / "arms.csv").read_bytes().replace(b",6.8,6.1,", b",16.8,6.1,")
    page = post(desk, asked, "claim", said(arms=file("arms.csv", table)), follow=True).content.decode()
    assert "maturity 16.8 lies off the scale 0 to 10" in page


def test_an_enquiry_with_a_claim_comes_from_files(owner: Any) -> None:
    sent = {name: (SCENARIO / name).read_bytes() for name in FILES}
    sent["enquiry.toml"] += b'\n[claim]\nladder = "ladder.csv"\narms = "arms.csv"\nclaims = ["3:6-8"]\n'
    with pytest.raises(Refused, match=r"names 'ladder.csv', which was not sent"):
        starting.from_files(sent, owner)
    sent |= {name: (FOLDER / name).read_bytes() for name in ("ladder.csv", "arms.csv")}
    claim = enquiry_record(starting.from_files(sent, owner)).claim
    assert claim is not None and claim.ladder == ladder()


def test_the_answer_shows_the_plane_and_the_sentences(desk: Client, owner: Any) -> None:
    row = save_enquiry(dataclasses.replace(claiming(), grid_parts=500), lots(), owner)
    jobs.run(jobs.claim() or jobs.ask(row, 2048, owner))
    answer = row.answers.get()
    page = desk.get(f"/enquiries/{row.pk}/answers/{answer.pk}/").content.decode()
    assert 'data-chart="chart-plane"' in page
    assert "Of offers A, B, D, E nothing is shown of maturity beyond its age, so they are not drawn." in page
    assert "None shown: Higher sweetness, no evidence of greater maturity" in page
    assert "None shown: no casks of this bill were read." in page
    assert "Years that would be needed" in page
    assert "it reads like 6 to 8 years: supported" in page
    assert "none of it may be printed on a label" in page


def test_prices_sent_back_as_they_are_change_nothing(desk: Client, asked: EnquiryRow) -> None:
    form = desk.get(here(asked)).context["release"]
    before = len(changes(asked))
    post(desk, asked, "prices", {bound.html_name: bound.value() or "" for bound in form})
    assert enquiry_record(EnquiryRow.objects.get()).release == scenario_enquiry().release
    assert len(changes(asked)) == before


def test_each_arm_has_a_picture_of_what_its_markers_read(desk: Client, asked: EnquiryRow) -> None:
    post(desk, asked, "claim", said())
    page = desk.get(here(asked)).content.decode()
    for arm in ("chart-arm-1", "chart-arm-2"):
        assert f'data-chart="{arm}"' in page and f'<script id="{arm}" type="application/json">' in page
