"""From a tried bill to its simulated mash and the map around the plan, wide and narrow, light and dark."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Browser, Page, expect

from browser.conftest import Desk, Watched
from browser.test_walk import NAME, NARROW, PASSWORD, WIDE, fair, go, picture


@pytest.fixture(scope="module")
def watched() -> Watched:
    return Watched()


@pytest.fixture(scope="module")
def page(browser: Browser, desk: Desk, watched: Watched) -> Page:
    context = browser.new_context(viewport=WIDE, color_scheme="light", base_url=desk.address)
    page = context.new_page()
    page.set_default_timeout(30_000)
    watched.follow(page)
    page.goto("/")
    page.get_by_label("Your name").fill(NAME)
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_label("Password confirmation").fill(PASSWORD)
    page.get_by_role("button", name="Make this desk mine").click()
    page.get_by_role("button", name="Start with the example").click()
    expect(page.locator("[data-drawn] svg")).to_be_visible()
    return page


def test_a_bill_is_tried_and_its_mash_simulated(page: Page) -> None:
    page.get_by_label("CM-120", exact=True).fill("10")
    expect(page.locator("#tried caption").first).to_contain_text("90 % PD-1 + 10 % CM-120")
    expect(page.locator("#tried")).to_contain_text("Final figures")
    page.get_by_role("button", name="Simulate the mash").click()
    expect(page.get_by_role("progressbar")).to_be_visible()
    fair(page)
    expect(page.get_by_role("heading", name="The mash of 90 % PD-1 + 10 % CM-120")).to_be_visible(timeout=60_000)
    expect(page.locator('#mash [data-chart="chart-mash"][data-drawn] svg')).to_be_visible()
    expect(page.get_by_role("heading", name="The wash of 90 % PD-1 + 10 % CM-120")).to_be_visible()
    expect(page.locator('#mash [data-chart="chart-wash"][data-drawn] svg')).to_be_visible()
    expect(page.locator("#standing-mash")).to_contain_text("Of the shares being tried")
    fair(page)


def test_other_shares_mark_it_as_old_at_once(page: Page) -> None:
    page.get_by_label("CM-120", exact=True).fill("5")
    expect(page.locator("#standing-mash")).to_contain_text("Old. Of other shares than those being tried.")
    expect(page.locator('#mash [data-chart="chart-mash"] svg')).to_be_visible()
    fair(page)
    page.get_by_label("CM-120", exact=True).fill("10")
    expect(page.locator("#standing-mash")).to_contain_text("Of the shares being tried")


def test_a_map_is_stopped_and_another_is_drawn(page: Page) -> None:
    page.get_by_label("Points each way").select_option("7")
    page.get_by_role("button", name="Map temperature and thickness").click()
    expect(page.locator("#mash p.job")).to_contain_text(re.compile("Running.*of 49"), timeout=20_000)
    page.get_by_role("button", name="Stop the mash").click()
    expect(page.locator("#mash p.job")).to_contain_text("Stopped", timeout=20_000)
    expect(page.locator("#h-map")).to_have_count(0)
    page.get_by_role("button", name="Map temperature and thickness").click()
    expect(page.locator("#h-map")).to_be_visible(timeout=90_000)
    expect(page.locator('#mash [data-chart="chart-map"][data-drawn] svg')).to_be_visible()
    page.get_by_text("The map as tables").click()
    expect(page.get_by_role("region", name="New spirit, L pure alcohol/t")).to_be_visible()
    page.get_by_text("The course as a table").click()
    fair(page)


@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["wide", "narrow"])
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_mash_and_house_are_fair_in_both_themes(page: Page, theme: str, size: dict[str, int]) -> None:
    page.set_viewport_size(size)
    page.get_by_label("Light or dark").select_option(theme)
    go(page, page.get_by_role("button", name="Set"))
    go(page, page.get_by_role("link", name="House", exact=True))
    fair(page)
    picture(page, f"house-mash-{size['width']}-{theme}")
    go(page, page.get_by_role("link", name="Bill", exact=True))
    expect(page.locator("#mash [data-drawn] svg")).to_have_count(3)
    for summary in ("The course as a table", "The wash as a table", "The map as tables"):
        page.get_by_text(summary).click()
    fair(page)
    picture(page, f"mash-{size['width']}-{theme}")


def test_a_changed_house_marks_both_as_old(page: Page) -> None:
    page.set_viewport_size(WIDE)
    go(page, page.get_by_role("link", name="House", exact=True))
    page.get_by_label("Liquor of the first water").fill("68")
    go(page, page.get_by_role("button", name="Save"))
    expect(page.locator("#main")).to_contain_text("Needs the litres of that water before the mash can settle.")
    page.get_by_label("Liquor at mashing in").fill("4")
    go(page, page.get_by_role("button", name="Save"))
    expect(page.get_by_role("status").first).to_contain_text("Saved.")
    expect(page.locator("#main")).to_contain_text("With liquor of 68 °C the mash settles at")
    go(page, page.get_by_role("link", name="Bill", exact=True))
    for kind in ("mash", "map"):
        expect(page.locator(f"#standing-{kind}")).to_contain_text("Old. The house, its lots or today's bill")
    picture(page, "mash-old-1440")


def test_the_keyboard_simulates_a_mash(page: Page) -> None:
    page.get_by_role("button", name="Simulate the mash").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#standing-mash")).to_contain_text("Of the shares being tried", timeout=60_000)


def test_without_scripts_a_mash_is_simulated_all_the_same(browser: Browser, desk: Desk, page: Page) -> None:
    context = browser.new_context(viewport=NARROW, base_url=desk.address, java_script_enabled=False)
    plain = context.new_page()
    plain.goto("/")
    plain.get_by_label("Your name").fill(NAME)
    plain.get_by_label("Password").fill(PASSWORD)
    plain.get_by_role("button", name="Sign in").click()
    plain.get_by_role("link", name="Caramel malt in an all-malt whisky", exact=True).click()
    plain.get_by_label("CM-120", exact=True).fill("12")
    plain.get_by_role("button", name="Simulate the mash").click()
    expect(plain.get_by_role("heading", name="The mash of 88 % PD-1 + 12 % CM-120")).to_be_visible(timeout=60_000)
    context.close()


@pytest.mark.usefixtures("page")
def test_nothing_left_this_machine_and_nothing_was_complained_of(watched: Watched) -> None:
    assert len(watched.requests) > 40
    assert watched.strangers() == []
    assert watched.complaints == []
