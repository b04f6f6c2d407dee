"""What is typed is not lost: two windows, a session that ended, a desk that stopped, a page that is left."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Dialog, Locator, Page, expect

from browser.conftest import Desk
from browser.test_walk import NAME, NARROW, PASSWORD, WIDE, fair, go, picture

TITLE = "Caramel malt in an all-malt whisky"
OFFER = re.compile("^You typed something here that was not saved")


@pytest.fixture(scope="module")
def context(browser: Browser, desk: Desk) -> Iterator[BrowserContext]:
    context = browser.new_context(viewport=WIDE, color_scheme="light", base_url=desk.address, locale="en-GB")
    context.set_default_timeout(20_000)
    page = context.new_page()
    page.goto("/")
    page.get_by_label("Your name").fill(NAME)
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_label("Password confirmation").fill(PASSWORD)
    page.get_by_role("button", name="Make this desk mine").click()
    go(page, page.get_by_role("button", name="Start with the example"))
    page.close()
    yield context
    context.close()


@pytest.fixture
def page(context: BrowserContext) -> Iterator[Page]:
    page = context.new_page()
    question(page)
    yield page
    page.close()


def question(page: Page) -> None:
    page.goto("/")
    go(page, page.get_by_role("link", name=TITLE, exact=True))
    go(page, link(page, "Question"))


def link(page: Page, name: str) -> Locator:
    return page.get_by_role("navigation", name="This enquiry").get_by_role("link", name=re.compile(f"^{name}"))


def customer(page: Page) -> Locator:
    return page.get_by_label("Customer", exact=True)


def save(page: Page) -> None:
    go(page, page.get_by_role("button", name="Save", exact=True))


def sign_in(page: Page) -> None:
    page.get_by_label("Your name").fill(NAME)
    page.get_by_label("Password").fill(PASSWORD)
    go(page, page.get_by_role("button", name="Sign in"))


def offered(page: Page) -> Locator:
    return page.get_by_role("region", name="Not saved")


def test_two_windows_are_brought_together_by_keyboard(page: Page, context: BrowserContext) -> None:
    other = context.new_page()
    question(other)
    customer(other).fill("Their Mill (invented)")
    other.get_by_label("Processing cost of a tonne mashed").fill("291,5")
    save(other)
    expect(offered(other)).to_have_count(0)
    other.close()
    customer(page).fill("My Mill (invented)")
    page.get_by_label("Adviser").fill("C. Example")
    save(page)
    expect(page.locator(".meanwhile")).to_be_focused()
    expect(page.get_by_role("alert")).to_contain_text(f"Saved meanwhile by {NAME}")
    expect(page.get_by_label("Processing cost of a tonne mashed")).to_have_value("291.5")
    expect(page.get_by_label("Adviser")).to_have_value("C. Example")
    fair(page)
    picture(page, "meanwhile-1440-light")
    page.keyboard.press("Tab")
    expect(page.get_by_role("radio", name=re.compile("^Saved meanwhile"))).to_be_focused()
    page.keyboard.press("ArrowDown")
    expect(page.get_by_role("radio", name=re.compile("^Yours"))).to_be_checked()
    with page.expect_navigation():
        page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_have_text("Saved.")
    expect(customer(page)).to_have_value("My Mill (invented)")
    expect(offered(page)).to_have_count(0)


def test_what_was_typed_is_offered_after_the_page_was_closed(page: Page, context: BrowserContext) -> None:
    customer(page).fill("Half typed (invented)")
    page.close()
    again = context.new_page()
    question(again)
    expect(offered(again)).to_contain_text(OFFER)
    expect(customer(again)).not_to_have_value("Half typed (invented)")
    fair(again)
    picture(again, "unsaved-1440-light")
    again.get_by_role("button", name="Put it back").click()
    expect(customer(again)).to_have_value("Half typed (invented)")
    expect(customer(again)).to_be_focused()
    save(again)
    again.reload()
    expect(customer(again)).to_have_value("Half typed (invented)")
    expect(offered(again)).to_have_count(0)
    again.close()


def test_what_is_forgotten_is_not_offered_again(page: Page, context: BrowserContext) -> None:
    customer(page).fill("Not meant (invented)")
    page.close()
    again = context.new_page()
    question(again)
    again.get_by_role("button", name="Forget it").click()
    again.reload()
    expect(customer(again)).to_be_visible()
    expect(offered(again)).to_have_count(0)
    again.close()


def test_what_is_typed_in_one_window_is_not_offered_in_another(page: Page, context: BrowserContext) -> None:
    customer(page).fill("In the first window (invented)")
    other = context.new_page()
    question(other)
    expect(customer(other)).to_be_visible()
    other.wait_for_timeout(300)
    expect(offered(other)).to_have_count(0)
    other.close()
    save(page)


def test_a_session_that_ended_loses_nothing(page: Page, context: BrowserContext) -> None:
    customer(page).fill("Typed before the end (invented)")
    here = page.url
    context.clear_cookies(name="gristwright_desk")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.locator(".says")).to_contain_text("You are signed out. What you typed is kept.")
    assert page.url == here
    fair(page)
    with context.expect_page() as opened:
        page.locator(".says a").click()
    sign_in(opened.value)
    opened.value.close()
    save(page)
    expect(page.get_by_role("status")).to_have_text("Saved.")
    expect(customer(page)).to_have_value("Typed before the end (invented)")


def sent_without_asking(page: Page) -> None:
    """Send the form as a browser does when the desk was asked a moment too early."""
    page.evaluate("document.querySelector('form[data-keep]').submit()")
    page.wait_for_load_state()


def test_a_session_that_ends_at_the_last_moment_leads_back_to_what_was_typed(
    page: Page, context: BrowserContext
) -> None:
    customer(page).fill("Typed at the last moment (invented)")
    here = page.url
    context.clear_cookies(name="gristwright_desk")
    with page.expect_navigation():
        sent_without_asking(page)
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    expect(page.locator("main")).to_contain_text("was not saved")
    expect(page.locator("main")).to_contain_text("What you typed is kept in this browser.")
    fair(page)
    picture(page, "signed-out-1440-light")
    sign_in(page)
    assert page.url == here
    expect(offered(page)).to_contain_text(OFFER)
    page.get_by_role("button", name="Put it back").click()
    save(page)
    expect(customer(page)).to_have_value("Typed at the last moment (invented)")


def test_a_form_that_is_too_old_leads_back_to_what_was_typed(page: Page, context: BrowserContext) -> None:
    customer(page).fill("Typed too early (invented)")
    context.clear_cookies(name="gristwright_form")
    with page.expect_navigation():
        sent_without_asking(page)
    expect(page.get_by_role("heading", name="Nothing was saved")).to_be_visible()
    fair(page)
    picture(page, "too-old-1440-light")
    go(page, page.get_by_role("link", name="Open the page again"))
    page.get_by_role("button", name="Put it back").click()
    save(page)
    expect(customer(page)).to_have_value("Typed too early (invented)")


def test_after_signing_in_elsewhere_a_page_is_saved_all_the_same(page: Page, context: BrowserContext) -> None:
    customer(page).fill("Typed before signing in elsewhere (invented)")
    other = context.new_page()
    context.clear_cookies()
    other.goto("/")
    sign_in(other)
    other.close()
    save(page)
    expect(page.get_by_role("status")).to_have_text("Saved.")
    expect(customer(page)).to_have_value("Typed before signing in elsewhere (invented)")


def test_what_another_saved_is_asked_about_when_something_is_put_back(page: Page, context: BrowserContext) -> None:
    customer(page).fill("Typed first (invented)")
    page.close()
    page = context.new_page()
    question(page)
    expect(offered(page)).to_be_visible()
    customer(page).fill("Saved between (invented)")
    save(page)
    page.get_by_role("button", name="Put it back").click()
    save(page)
    expect(page.get_by_role("alert")).to_contain_text("Saved between (invented)")
    expect(page.get_by_role("alert")).to_contain_text("Typed first (invented)")
    page.get_by_role("radio", name=re.compile("^Saved meanwhile")).check()
    save(page)
    expect(customer(page)).to_have_value("Saved between (invented)")
    page.close()


def test_leaving_warns_only_when_something_was_changed(page: Page) -> None:
    asked: list[str] = []

    def stay(dialog: Dialog) -> None:
        asked.append(dialog.type)
        dialog.dismiss()

    page.on("dialog", stay)
    go(page, link(page, "House"))
    go(page, link(page, "Question"))
    assert asked == []
    customer(page).click()
    page.keyboard.type("x")
    link(page, "House").click()
    page.wait_for_timeout(500)
    assert asked == ["beforeunload"]
    assert page.url.endswith("/question/")
    page.keyboard.press("Control+z")
    page.remove_listener("dialog", stay)
    go(page, link(page, "House"))


def test_signing_out_forgets_what_was_kept(page: Page) -> None:
    page.reload()
    customer(page).fill("Typed before leaving (invented)")
    page.once("dialog", lambda dialog: dialog.accept())
    go(page, page.get_by_role("button", name=re.compile("^Sign out")))
    assert page.evaluate("Object.keys(localStorage).filter((key) => key.startsWith('gristwright kept'))") == []
    sign_in(page)
    question(page)
    expect(offered(page)).to_have_count(0)


def test_the_question_is_filled_in_with_the_keyboard_alone(page: Page) -> None:
    page.locator("#main").focus()
    for _ in range(40):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.name") == "valid_days":
            break
    page.keyboard.press("Control+a")
    page.keyboard.type("many")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    expect(page.get_by_role("alert")).to_be_focused()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.locator("[name=valid_days]")).to_be_focused()
    page.keyboard.press("Control+a")
    page.keyboard.type("33")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_have_text("Saved.")
    expect(page.locator("[name=valid_days]")).to_have_value("33")


@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["wide", "narrow"])
def test_a_price_goes_back_to_its_own_lot(page: Page, context: BrowserContext, size: dict[str, Any]) -> None:
    page.set_viewport_size(size)
    go(page, link(page, "On offer"))
    page.get_by_label("CM-120: Price a tonne").fill("777")
    page.close()
    page = context.new_page()
    page.set_viewport_size(size)
    question(page)
    go(page, link(page, "On offer"))
    expect(offered(page)).to_be_visible()
    page.get_by_role("button", name="Put it back").click()
    expect(page.get_by_label("CM-120: Price a tonne")).to_have_value("777")
    expect(page.get_by_label("CM-120: Price a tonne")).to_be_focused()
    page.reload()
    page.get_by_role("button", name="Forget it").click()
    page.close()


def test_a_desk_that_stopped_loses_nothing(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> None:
    desk = Desk(tmp_path_factory.mktemp("stopped")).open()
    page = browser.new_page(base_url=desk.address, viewport=WIDE)
    page.goto("/")
    page.get_by_label("Your name").fill(NAME)
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_label("Password confirmation").fill(PASSWORD)
    page.get_by_role("button", name="Make this desk mine").click()
    go(page, page.get_by_role("button", name="Start with the example"))
    go(page, link(page, "Question"))
    customer(page).fill("Typed while nobody listened (invented)")
    here = page.url
    desk.close()
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.locator(".says")).to_contain_text("The desk does not answer. What you typed is kept in this browser")
    assert page.url == here
    expect(customer(page)).to_have_value("Typed while nobody listened (invented)")
    page.close()
