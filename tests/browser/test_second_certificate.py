"""A second certificate in a week with a real browser: the same lot again, replaced, undone; a lot typed key by key."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from browser.conftest import Desk, Watched
from browser.test_walk import NAME, NARROW, PASSWORD, WIDE, fair, go, picture

HEAD = "lot,material,supplier,lot number,crop,moisture [%],extract fine dry [%],diastatic power [degWK]\n"
FIRST = f"{HEAD}R-1,rye_malt,Invented Rye Malting,31,2025,5.2,86.4,210\n"
AGAIN = f"{HEAD}R-1,rye_malt,Invented Rye Malting,31,2025,5.6,86.1,204\n"
SPECIAL = (
    "Lieferant: Erfundene Mälzerei\nCharge;Sorte;Wassergehalt [%];Extrakt Feinschrot wfr. [%]\n{};Hausroggen;5,1;86,2\n"
)


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


def send(page: Page, *files: tuple[str, str]) -> None:
    go(page, page.get_by_role("link", name="Certificates", exact=True))
    sent = [{"name": name, "mimeType": "text/csv", "buffer": text.encode()} for name, text in files]
    page.get_by_label("Certificates of lots").set_input_files(sent)
    go(page, page.get_by_role("button", name="Send and read"))


def typed(field: Locator, text: str) -> None:
    """Write into a field key by key."""
    field.click()
    field.press_sequentially(text)


def line_of(page: Page, lot: str) -> Locator:
    return page.locator(".lots tbody tr").filter(has=page.get_by_role("link", name=lot, exact=True))


def test_the_first_certificate_of_the_week(page: Page) -> None:
    send(page, ("monday.csv", FIRST))
    go(page, page.get_by_role("button", name="Take these lots over"))
    expect(page.get_by_role("status")).to_have_text("1 lot added from monday.csv: R-1.")
    expect(line_of(page, "R-1")).to_contain_text("5.2 %")


def test_the_same_lot_again_is_replaced_and_undone(page: Page) -> None:
    send(page, ("friday.csv", AGAIN))
    expect(page.get_by_role("group", name="R-1 is here already")).to_contain_text("Moisture 5.2 % here, 5.6 %")
    page.get_by_label("Replace R-1").check()
    go(page, page.get_by_role("button", name="Take these lots over"))
    expect(line_of(page, "R-1")).to_contain_text("5.6 %")
    fair(page)
    picture(page, "second-certificate-1440-light")
    go(page, page.get_by_role("button", name="Undo: R-1 replaced by that of friday.csv."))
    expect(page.get_by_role("status").first).to_have_text("Undone: R-1 is back as it was.")
    expect(line_of(page, "R-1")).to_contain_text("5.2 %")


def test_a_lot_is_deleted_and_comes_back(page: Page) -> None:
    go(page, page.get_by_role("link", name="CM-120", exact=True))
    fair(page)
    go(page, page.get_by_role("button", name="Delete CM-120"))
    expect(page.get_by_role("status")).to_contain_text("CM-120 deleted, with its offer at")
    go(page, page.get_by_role("button", name="Undo: CM-120 deleted"))
    expect(line_of(page, "CM-120")).to_have_count(1)


def test_a_lot_is_typed_on_a_phone_with_a_decimal_comma(page: Page) -> None:
    page.set_viewport_size(NARROW)
    go(page, page.get_by_role("link", name="Type a lot in"))
    typed(page.get_by_label("Name"), "Rye by hand")
    page.get_by_label("Type of malt or grain").select_option(label="rye malt")
    typed(page.get_by_label("Supplier", exact=True), "Invented Rye Malting")
    typed(page.get_by_label("Lot number of the supplier"), "32")
    first, second = page.get_by_role("group", name="Line 1", exact=True), page.get_by_role("group", name="Line 2")
    first.get_by_label("Analysis").select_option(label="Moisture")
    expect(first.get_by_label("Unit")).to_have_value("%")
    typed(first.get_by_label("Value"), "5,25")
    second.get_by_label("Analysis").select_option(label="Diastatic power")
    expect(second.get_by_label("Unit").locator("option")).to_have_count(4)
    typed(second.get_by_label("Value"), "1.212,5")
    second.get_by_label("Unit").select_option("degWK")
    go(page, page.get_by_role("button", name="Save"))
    fair(page)
    picture(page, "typed-390-light")
    page.get_by_role("alert").get_by_role("link", name="Line 2: Value").click()
    field = page.get_by_role("group", name="Line 2").get_by_label("Value")
    field.press("Control+a")
    field.press("Delete")
    typed(field, "212,5")
    go(page, page.get_by_role("button", name="Save"))
    expect(page.get_by_role("status").first).to_have_text("1 lot added from the form: Rye by hand.")
    expect(line_of(page, "Rye by hand")).to_contain_text("5.25 %")
    expect(line_of(page, "Rye by hand")).to_contain_text("212.5 °WK")
    fair(page)
    page.set_viewport_size(WIDE)


def test_what_is_chosen_for_one_file_serves_the_other(page: Page) -> None:
    send(page, ("one.csv", SPECIAL.format("A-1")), ("two.csv", SPECIAL.format("A-2")))
    go(page, page.get_by_role("link", name="one.csv"))
    fair(page)
    page.get_by_label("the heading “Sorte” says").select_option("=material")
    go(page, page.get_by_role("button", name="Mend and read again"))
    page.get_by_label("“Hausroggen” is").select_option(label="rye malt")
    go(page, page.get_by_role("button", name="Mend and read again"))
    expect(page.get_by_role("button", name="Take these lots over")).to_be_visible()
    go(page, page.get_by_role("link", name="What is remembered"))
    expect(page.get_by_role("row", name="Hausroggen")).to_contain_text("Erfundene Mälzerei")
    fair(page)
    go(page, page.get_by_role("link", name="Certificates", exact=True).first)
    expect(page.get_by_role("row", name="two.csv")).to_contain_text("waiting")


def test_nothing_came_from_outside(watched: Watched) -> None:
    assert watched.strangers() == []
    assert watched.complaints == []
