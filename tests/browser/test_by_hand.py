"""What a person does with the keyboard: commas typed, two certificates sent, a cask chosen, page and PDF compared."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, expect
from pypdf import PdfReader

from browser.conftest import Desk, Watched
from browser.test_walk import NAME, NARROW, PASSWORD, WIDE, fair, go, picture

HEAD = "lot,material,supplier,lot number,crop,moisture [%],extract fine dry [%],diastatic power [degWK]\n"
FIRST = f"{HEAD}N-1,pale_distilling_malt,Other Invented Maltings,77,2025,4.5,81.0,255\n"
SECOND = (
    f"{HEAD}N-2,pale_distilling_malt,Other Invented Maltings,78,2025,4.4,81.2,258\n"
    "PD-1,pale_distilling_malt,Invented Maltings,24-0711,2025,5.1,81.6,262\n"
    "PD-2,pale_distilling_malt,Other Invented Maltings,9,2025,4.0,82.0,240\n"
)
SIZES = pytest.mark.parametrize("size", [WIDE, NARROW], ids=["wide", "narrow"])


@pytest.fixture(scope="module")
def watched() -> Watched:
    return Watched()


@pytest.fixture(scope="module")
def page(browser: Browser, desk: Desk, watched: Watched) -> Page:
    context = browser.new_context(viewport=WIDE, color_scheme="light", base_url=desk.address, locale="en-GB")
    page = context.new_page()
    page.set_default_timeout(30_000)
    watched.follow(page)
    page.goto("/")
    page.get_by_label("Your name").fill(NAME)
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_label("Password confirmation").fill(PASSWORD)
    page.get_by_role("button", name="Make this desk mine").click()
    go(page, page.get_by_role("button", name="Start with the example"))
    return page


def typed(field: Locator, text: str) -> None:
    """Write into a field key by key, over what stands there."""
    field.click()
    field.press("Control+a")
    field.press("Delete")
    field.press_sequentially(text)


def send(page: Page, name: str, text: str) -> None:
    go(page, page.get_by_role("navigation", name="This enquiry").get_by_role("link", name="Lots", exact=True))
    sent = {"name": name, "mimeType": "text/csv", "buffer": text.encode()}
    page.get_by_label("Certificates of lots").set_input_files(sent)
    go(page, page.get_by_role("button", name="Send and read"))


def lots(page: Page) -> list[str]:
    """The lots of the enquiry as the page of certificates shows them."""
    go(page, page.get_by_role("navigation", name="This enquiry").get_by_role("link", name="Lots", exact=True))
    return page.locator(".lots tbody th").all_inner_texts()


def test_a_second_certificate_adds_its_lots(page: Page) -> None:
    send(page, "first.csv", FIRST)
    go(page, page.get_by_role("button", name="Take these lots over"))
    expect(page.get_by_role("status")).to_have_text("1 lot added from first.csv: N-1.")
    assert lots(page) == ["PD-1", "PD-2", "CM-120", "CM-300", "N-1"]


def test_of_lots_that_are_here_already_the_desk_asks(page: Page) -> None:
    send(page, "second.csv", SECOND)
    expect(page.get_by_role("group", name="PD-1 is here already")).to_contain_text("Moisture 4.6 % here, 5.1 %")
    expect(page.get_by_role("group", name="PD-2 is here already")).to_contain_text("Another lot goes by this name here")
    expect(page.get_by_role("radio", checked=True)).to_have_count(0)
    go(page, page.get_by_role("button", name="Take these lots over"))
    expect(page.get_by_role("alert")).to_contain_text("PD-1: is here already and nothing was said of it.")
    assert lots(page) == ["PD-1", "PD-2", "CM-120", "CM-300", "N-1"]


@SIZES
def test_the_question_is_fair(page: Page, size: dict[str, int]) -> None:
    page.set_viewport_size(size)
    go(page, page.get_by_role("link", name="second.csv"))
    fair(page)
    picture(page, f"again-{size['width']}-light")
    go(page, page.get_by_role("navigation", name="This enquiry").get_by_role("link", name="Lots", exact=True))


def test_one_is_replaced_and_the_other_kept_beside_with_the_keyboard_alone(page: Page) -> None:
    page.set_viewport_size(WIDE)
    go(page, page.get_by_role("link", name="second.csv"))
    page.get_by_role("group", name="PD-1 is here already").get_by_role("radio").first.focus()
    page.keyboard.press("Space")
    page.get_by_role("group", name="PD-2 is here already").get_by_role("radio").last.focus()
    page.keyboard.press("Space")
    typed(page.get_by_role("group", name="PD-2 is here already").get_by_role("textbox"), "PD-2 of the others")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    said = page.get_by_role("status").all_inner_texts()
    assert said == [
        "1 lot added from second.csv: N-2.",
        "PD-1 replaced by that of second.csv.",
        "PD-2 of the others kept beside PD-2, as PD-2 of second.csv.",
    ]
    assert lots(page) == ["PD-1", "PD-2", "CM-120", "CM-300", "N-1", "N-2", "PD-2 of the others"]
    go(page, page.get_by_role("link", name="Changes"))
    expect(page.get_by_role("row", name=re.compile("Lot PD-1 replaced"))).to_have_count(1)


def test_a_share_typed_with_a_comma_is_that_share(page: Page) -> None:
    go(page, page.get_by_role("link", name="On offer"))
    for lot in ("N-1", "N-2", "PD-2 of the others"):
        typed(page.get_by_label(f"{lot}: Price a tonne"), "455,5")
    go(page, page.get_by_role("button", name="Save", exact=True))
    go(page, page.get_by_role("link", name="Bill", exact=True))
    typed(page.get_by_label("CM-120", exact=True), "7,5")
    expect(page.locator("#tried caption").first).to_contain_text("92.5 % PD-1 + 7.5 % CM-120")
    expect(page.get_by_label("CM-120", exact=True)).to_have_value("7,5")
    expect(page.get_by_label("PD-1", exact=True)).to_have_value("92.5")
    typed(page.get_by_label("CM-120", exact=True), "1.234,5")
    expect(page.locator("#tried")).to_contain_text("CM-120: “1.234,5” has both a point and a comma.")
    typed(page.get_by_label("CM-120", exact=True), "5")
    expect(page.locator("#tried caption").first).to_contain_text("95 % PD-1 + 5 % CM-120")


@pytest.mark.parametrize("name", ["Bill", "Question", "House", "Cask", "Release and age", "On offer"])
def test_every_number_field_takes_a_comma_from_the_keyboard(page: Page, name: str) -> None:
    go(page, page.get_by_role("link", name=name, exact=True))
    fields = page.locator("input.number:visible:not([readonly])")
    assert fields.count() > 2
    assert page.locator("input[type=number]").count() == 0
    for field in fields.all():
        typed(field, "7,5")
        expect(field).to_have_value("7,5")


def test_numbers_with_commas_are_kept_as_they_are_meant(page: Page) -> None:
    for link, label, kept in (
        ("Question", "Processing cost of a tonne mashed", "187.5"),
        ("House", "Settled mash", "64.5"),
        ("Release and age", "Price of a cask", "117.5"),
    ):
        go(page, page.get_by_role("link", name=link, exact=True))
        typed(page.get_by_label(label, exact=True), kept.replace(".", ","))
        go(page, page.get_by_role("button", name=re.compile("^Save( the prices)?$")))
        expect(page.get_by_label(label, exact=True)).to_have_value(kept)
    go(page, page.get_by_role("link", name="On offer"))
    typed(page.get_by_label("CM-120: At most, %"), "12,5")
    go(page, page.get_by_role("button", name="Save", exact=True))
    expect(page.get_by_label("CM-120: At most, %")).to_have_value("12.5")


def test_no_cask_is_chosen_and_the_capacity_follows_the_kind(page: Page) -> None:
    example = page.url.split("/offer")[0]
    go(page, page.get_by_role("link", name="Enquiries"))
    page.get_by_label("Title", exact=True).fill("bare")
    go(page, page.get_by_role("button", name="Begin"))
    go(page, page.get_by_role("link", name="Cask", exact=True))
    kind, capacity, staves = (
        page.get_by_label(label, exact=True) for label in ("Kind of cask", "Capacity", "Thickness of the staves")
    )
    expect(kind).to_have_value("")
    expect(page.get_by_label("Store", exact=True)).to_have_value("")
    expect(capacity).to_have_value("")
    for name, litres, mm in (("hogshead", "250", "25"), ("butt", "500", "30"), ("miniature 5 L", "5", "15")):
        kind.focus()
        page.keyboard.press("Home")
        while kind.input_value() != name:
            page.keyboard.press("ArrowDown")
        expect(capacity).to_have_value(litres)
        expect(staves).to_have_value(mm)
    typed(capacity, "231,5")
    kind.select_option("hogshead")
    expect(capacity).to_have_value("231,5")
    expect(staves).to_have_value("25")
    page.get_by_label("Store", exact=True).select_option(index=1)
    go(page, page.get_by_role("button", name="Save", exact=True))
    expect(capacity).to_have_value("231.5")
    typed(capacity, "")
    page.keyboard.press("Tab")
    expect(capacity).to_have_value("250")
    go(page, page.get_by_role("button", name="Save", exact=True))
    expect(capacity).to_have_value("250")
    go(page, page.get_by_role("button", name="Save", exact=True))
    expect(page.get_by_role("status")).to_have_text("Nothing was changed.")
    fair(page)
    picture(page, "cask-chosen-1440-light")
    page.goto(example)


def test_without_scripts_an_empty_capacity_is_that_of_the_kind(browser: Browser, desk: Desk, page: Page) -> None:
    context = browser.new_context(viewport=NARROW, base_url=desk.address, java_script_enabled=False)
    plain = context.new_page()
    plain.goto("/")
    plain.get_by_label("Your name").fill(NAME)
    plain.get_by_label("Password").fill(PASSWORD)
    plain.get_by_role("button", name="Sign in").click()
    plain.get_by_role("link", name="bare", exact=True).click()
    plain.get_by_role("navigation", name="This enquiry").get_by_role("link", name="Cask").click()
    expect(plain.get_by_text("Empty: the usual of the kind chosen.").first).to_be_visible()
    expect(plain.get_by_label("Capacity", exact=True)).to_have_value("")
    plain.get_by_label("Kind of cask").select_option("butt")
    plain.get_by_role("button", name="Save", exact=True).click()
    expect(plain.get_by_label("Kind of cask")).to_have_value("butt")
    expect(plain.get_by_label("Capacity", exact=True)).to_have_value("")
    context.close()
    bill = page.url
    go(page, page.get_by_role("link", name="Enquiries"))
    go(page, page.get_by_role("link", name="bare", exact=True))
    go(page, page.get_by_role("navigation", name="This enquiry").get_by_role("link", name="Cask"))
    expect(page.get_by_label("Capacity", exact=True)).to_have_value("500")
    page.goto(bill)


def squeezed(text: str) -> str:
    """Words without what line breaks and tables do to them."""
    return re.sub(r"[\W_]+", "", text)


def test_page_and_pdf_of_an_answer_say_the_same(page: Page) -> None:
    go(page, page.get_by_role("link", name="Question"))
    page.get_by_label("Date of the enquiry").fill("2026-03-02")
    go(page, page.get_by_role("button", name="Save", exact=True))
    go(page, page.get_by_role("link", name="Answers", exact=True))
    go(page, page.get_by_role("button", name="Find bills"))
    expect(page.get_by_role("alert")).to_contain_text("Should a search look at anything from 0 to 100 %?")
    go(page, page.get_by_role("button", name="Search all the same"))
    expect(page.locator("table tbody th a").first).to_be_visible(timeout=120_000)
    go(page, page.locator("table tbody th a").first)
    page.get_by_text("Issue this answer, or delete the draft").click()
    go(page, page.get_by_role("button", name="Issue the answer"))
    with page.expect_download() as got:
        page.get_by_role("link", name="PDF", exact=True).click()
    pdf = " ".join(one.extract_text() for one in PdfReader(io.BytesIO(Path(got.value.path()).read_bytes())).pages)
    issued = page.get_by_role("heading", level=1).inner_text().removeprefix("Answer of ")
    (fingerprint,) = re.findall(r"fingerprint ([0-9a-f]{12})", page.locator("main").inner_text())
    assert set(re.findall(r"fingerprint ([0-9a-f]{12})", " ".join(pdf.split()))) == {fingerprint}
    assert set(re.findall(r"[Ii]ssued (\d+ \w+ \d{4})", " ".join(pdf.split()))) == {issued}
    rows = page.get_by_role("region", name="How the boards stand").locator("tbody tr")
    assert rows.count() > 6
    for row in rows.all():
        cells = [re.sub(r"^[^\w]+", "", text) for text in row.locator("td").all_inner_texts()]
        assert squeezed("".join(cells)) in squeezed(pdf)
    there = page.url
    go(page, page.get_by_role("link", name="Answers", exact=True))
    listed = page.locator("table tbody tr").first.inner_text()
    assert "issued" in listed
    assert fingerprint in listed
    page.goto(there)


def test_an_offer_tried_has_the_boards_it_was_issued_with(page: Page) -> None:
    rows = page.get_by_role("region", name="How the boards stand").locator("tbody tr")
    issued = {
        row.locator("th").inner_text().split("\n")[0]: row.locator("td").nth(1).inner_text() for row in rows.all()
    }
    go(page, page.get_by_role("button", name="Try offer A on the bill page"))
    expect(page.locator("#tried")).to_contain_text("Final figures")
    lines = page.locator(".lines details")
    assert lines.count() > 6
    for line in lines.all():
        title, _, word = (line.locator("summary .line > span").nth(n).inner_text() for n in range(3))
        said = re.sub(r"this bill:|(?<![\d.])0 %", "", word)  # paper says nothing of a chance that is none
        assert squeezed(issued[title]) == squeezed(said)
    fair(page)
    picture(page, "offer-tried-1440-light")


@pytest.mark.usefixtures("page")
def test_nothing_was_complained_of(watched: Watched) -> None:
    assert watched.strangers() == []
    assert watched.complaints == []
