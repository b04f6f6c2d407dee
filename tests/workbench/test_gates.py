"""Every address of the desk, by whom, with which method, forged in which way: what it answers, writes and shows.

A new address fails here until it is entered in the table with what its owner gets by opening it and by sending nothing.
"""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection, transaction
from django.test import Client
from django.urls import get_resolver, reverse

from gristwright.store.models import Answer, CertificateFile, EnquiryRow, FileStanding, Job, LotStep
from gristwright.store.models.work import Kind, State
from gristwright.workbench import jobs
from workbench.conftest import HERE

PAGE, AWAY, NONE, UNTIDY, SENT_ONLY = 200, 302, 404, 422, 405
# Name of an address -> what the owner gets by opening it (SENT_ONLY leads to the page above), and by sending nothing.
ADDRESSES: dict[str, tuple[int, int]] = {
    "begin": (AWAY, AWAY),
    "enter": (AWAY, AWAY),
    "standing": (PAGE, PAGE),
    "leave": (SENT_ONLY, AWAY),
    "password": (PAGE, UNTIDY),
    "theme": (SENT_ONLY, AWAY),
    "enquiries": (PAGE, PAGE),
    "start": (SENT_ONLY, AWAY),
    "bill": (PAGE, PAGE),
    "try": (SENT_ONLY, AWAY),
    "ask_bill": (SENT_ONLY, UNTIDY),
    "take_bill_out": (SENT_ONLY, AWAY),
    "mash": (SENT_ONLY, UNTIDY),
    "map": (SENT_ONLY, UNTIDY),
    "follow_mash": (PAGE, PAGE),
    "stop_mash": (SENT_ONLY, AWAY),
    "ledger": (PAGE, PAGE),
    "question": (PAGE, AWAY),
    "house": (PAGE, AWAY),
    "take_newest": (SENT_ONLY, AWAY),
    "cask": (PAGE, AWAY),
    "age": (PAGE, PAGE),
    "keep_release": (AWAY, AWAY),
    "keep_claim": (AWAY, UNTIDY),
    "offer": (PAGE, AWAY),
    "changes": (PAGE, PAGE),
    "keeping": (PAGE, PAGE),
    "give_files": (PAGE, PAGE),
    "give_one": (PAGE, PAGE),
    "copy": (SENT_ONLY, AWAY),
    "archive": (SENT_ONLY, AWAY),
    "bin": (SENT_ONLY, AWAY),
    "delete": (PAGE, UNTIDY),
    "damaged": (PAGE, PAGE),
    "take_out_damaged": (SENT_ONLY, AWAY),
    "delete_kept": (SENT_ONLY, UNTIDY),
    "give_kept": (PAGE, PAGE),
    "certificates": (PAGE, PAGE),
    "send_file": (SENT_ONLY, UNTIDY),
    "lots": (PAGE, PAGE),
    "lot": (PAGE, PAGE),
    "type_lot": (PAGE, UNTIDY),
    "remembered": (PAGE, AWAY),
    "elsewhere": (PAGE, UNTIDY),
    "edit_lot": (PAGE, UNTIDY),
    "delete_lot": (SENT_ONLY, AWAY),
    "undo_step": (SENT_ONLY, AWAY),
    "certificate_file": (PAGE, PAGE),
    "mend_file": (SENT_ONLY, AWAY),
    "take_file": (SENT_ONLY, AWAY),
    "give_file": (PAGE, PAGE),
    "delete_file": (SENT_ONLY, AWAY),
    "answers": (PAGE, PAGE),
    "forecast_pdf": (AWAY, AWAY),
    "forecast_json": (AWAY, AWAY),
    "find": (SENT_ONLY, AWAY),
    "job": (PAGE, PAGE),
    "stop_job": (SENT_ONLY, AWAY),
    "answer": (PAGE, PAGE),
    "give_in_language": (NONE, NONE),
    "decide": (SENT_ONLY, UNTIDY),
    "give_answer": (NONE, NONE),
}
# What the door itself answers somebody who is not signed in: opened, and sent nothing.
DOORS = {"begin": (AWAY, AWAY), "enter": (PAGE, PAGE), "standing": (PAGE, PAGE), "theme": (SENT_ONLY, AWAY)}
SECRETS = (b"Kiln", b"PD-1", b"A.Example")
EVIL = "http://evil.example"
TOKEN = "t" * 32
ASKED_ON = dt.date(2026, 3, 2)

# How a request is forged -> its heads, its token, and what is answered when it sends something; opening is no harm.
FORGED: dict[str, tuple[dict[str, str], str, int]] = {
    "no token": ({}, "", 403),
    "a foreign token": ({}, "x" * 32, 403),
    "a foreign origin": ({"origin": EVIL}, TOKEN, 403),
    "an origin of nobody": ({"origin": "null"}, TOKEN, 403),
    "another port": ({"origin": "http://127.0.0.1:9", "sec-fetch-site": "same-site"}, TOKEN, 403),
    "sent from another site": ({"sec-fetch-site": "cross-site"}, TOKEN, 403),
    "a foreign page without token": ({"referer": f"{EVIL}/enquiries/"}, "", 403),
    "as if by the script": ({"hx-request": "true", "hx-current-url": EVIL}, "", 403),
    "a method in a head": ({"x-http-method-override": "DELETE"}, "", 403),
}


@pytest.fixture
def keys(asked: EnquiryRow) -> dict[str, Any]:
    """An enquiry with a file, a step and a job; everything that an address names, but for an answer, which is none."""
    content = b"lot,material,moisture [%]\nN-1,pale_distilling_malt,4.6\n"
    file = CertificateFile.objects.create(enquiry=asked, name="n.csv", received=content, content=content)
    FileStanding.objects.create(file=file)
    step = LotStep.objects.create(enquiry=asked, told=["x"], went=[], came=[], by="Somebody")
    mash = Job.objects.create(enquiry=asked, kind=Kind.MASH, state=State.STOPPED, asked={"shares": {}})
    return {
        "key": asked.pk, "answer_key": uuid.uuid4(), "file_key": file.pk, "lot_key": asked.named.all()[0].pk,
        "step_key": step.pk, "job_key": mash.pk, "name": "lots.csv", "kind": "pdf", "language": "de",
    }  # fmt: skip


@pytest.fixture
def drafted(keys: dict[str, Any], owner: Any, found_once: None) -> dict[str, Any]:
    """The same, and a draft."""
    EnquiryRow.objects.update(date=ASKED_ON)
    jobs.ask(EnquiryRow.objects.get(), 256, owner)
    job = jobs.claim()
    assert job is not None
    jobs.run(job)
    return {**keys, "answer_key": Answer.objects.get().pk}


def addresses(keys: dict[str, Any]) -> dict[str, str]:
    found = {}
    for pattern in get_resolver().url_patterns:
        name = str(pattern.name)
        found[name] = reverse(name, kwargs={need: keys[need] for need in pattern.pattern.regex.groupindex})
    return found


def strict(owner: Any = None) -> Client:
    """A browser, signed in or not, that is asked for the token of its forms."""
    browser = Client(headers={"host": HERE}, enforce_csrf_checks=True)
    browser.cookies["gristwright_form"] = TOKEN
    if owner:
        browser.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
    return browser


def ended(owner: Any) -> Client:
    """A browser that was signed in until another one signed it out."""
    browser = strict(owner)
    browser.session.delete()
    return browser


Send = Callable[..., Any]


def asks(browser: Client, method: str, address: str, heads: dict[str, str] | None = None, token: str = TOKEN) -> Any:
    """An answer; whatever it did to the data is taken back."""
    with transaction.atomic():
        data = {"csrfmiddlewaretoken": token} if method == "POST" and token else None
        kind = {} if method == "POST" else {"content_type": "application/x-www-form-urlencoded"}
        send: Send = browser.post if method == "POST" else browser.generic
        said = (address, data) if method == "POST" else (method, address)
        browser.cookies["gristwright_form"] = TOKEN
        answer = send(*said, headers=heads or {}, **kind)
        body = b"".join(answer.streaming_content) if answer.streaming else answer.content  # type: ignore[attr-defined]
        answer.body = body  # type: ignore[attr-defined]
        transaction.set_rollback(True)
    return answer


def written() -> int:
    """How many rows were written on this connection so far."""
    return int(connection.connection.total_changes)


def test_every_address_is_entered_here() -> None:
    assert {str(pattern.name) for pattern in get_resolver().url_patterns} == set(ADDRESSES)


def test_the_owner_opens_and_sends_and_only_what_is_sent_is_written(drafted: dict[str, Any], owner: Any) -> None:
    browser, wrong = strict(owner), {}
    for name, address in addresses(drafted).items():
        opened, sent = ADDRESSES[name]
        before = written()
        answers = {method: asks(browser, method, address).status_code for method in ("GET", "HEAD")}
        idle = written() == before
        browser = strict(owner) if name == "leave" else browser
        answers["POST"] = asks(browser, "POST", address, {"origin": f"http://{HERE}"}).status_code
        browser = strict(owner) if name == "leave" else browser
        expected = {"GET": AWAY if opened == SENT_ONLY else opened, "HEAD": opened, "POST": sent}
        if answers != expected or not idle:
            wrong[name] = (answers, expected, idle)
    assert not wrong


@pytest.mark.parametrize("who", [lambda _: strict(), ended], ids=["nobody", "an ended session"])
def test_who_is_not_signed_in_sees_and_does_nothing(
    keys: dict[str, Any], owner: Any, who: Callable[[Any], Client]
) -> None:
    browser, wrong = who(owner), {}
    before = written()
    for name, address in addresses(keys).items():
        opened, sent = DOORS.get(name, (AWAY, AWAY))
        for method in ("GET", "HEAD", "POST"):
            answer = asks(browser, method, address)
            status = {"GET": AWAY if opened == SENT_ONLY else opened, "HEAD": opened, "POST": sent}[method]
            shown = [secret for secret in SECRETS if secret in answer.body]
            led = name in DOORS or answer["Location"].startswith("/enter/")
            if answer.status_code != status or shown or not led:
                wrong[name, method] = (answer.status_code, status, shown, led)
    assert not wrong
    assert written() == before


def everybody(owner: Any) -> dict[str, Client]:
    return {"the owner": strict(owner), "nobody": strict(), "an ended session": ended(owner)}


def test_what_is_forged_is_refused_and_writes_nothing(keys: dict[str, Any], owner: Any) -> None:
    people, wrong = everybody(owner), {}
    before = written()
    for forged, (heads, token, status) in FORGED.items():
        for who, browser in people.items():
            for name, address in addresses(keys).items():
                got = asks(browser, "POST", address, heads, token).status_code
                if got != status:
                    wrong[forged, who, name] = got
    assert not wrong
    assert written() == before


def test_other_methods_are_not_known(keys: dict[str, Any], owner: Any) -> None:
    people = everybody(owner)
    before = written()
    for method in ("PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "CONNECT", "BREW"):
        for browser in people.values():
            assert {asks(browser, method, address).status_code for address in addresses(keys).values()} == {SENT_ONLY}
    assert written() == before


def test_a_foreign_host_is_turned_away_everywhere(keys: dict[str, Any], owner: Any) -> None:
    people = everybody(owner)
    before = written()
    for host in ("evil.example", "127.0.0.1.evil.example", "127.0.0.1@evil.example", "[::1]", "", "a b"):
        for browser in people.values():
            for method in ("GET", "POST", "PUT"):
                codes = {
                    asks(browser, method, address, {"host": host}).status_code for address in addresses(keys).values()
                }
                assert codes == {400}, (host, method)
    assert written() == before


def test_what_a_proxy_would_say_is_not_believed(owner: Any) -> None:
    said = {"x-forwarded-host": "evil.example", "x-forwarded-proto": "https", "x-forwarded-for": "10.0.0.9"}
    for address in ("/", "/theme/", "/leave/"):
        answer = asks(strict(owner), "POST", address, said)
        assert b"evil" not in answer.body + answer.get("Location", "").encode()


def test_an_address_of_one_enquiry_does_not_show_what_is_another_ones(
    keys: dict[str, Any], owner: Any, asked: EnquiryRow
) -> None:
    other = EnquiryRow.objects.create(title="Other", owner=owner)
    browser = strict(owner)
    inner = {"answer_key", "file_key", "lot_key", "step_key", "job_key"}
    for pattern in get_resolver().url_patterns:
        needs = set(pattern.pattern.regex.groupindex)
        if not needs & inner or pattern.name == "job":
            continue
        for crossed in ({**keys, "key": other.pk}, {**keys, **dict.fromkeys(needs & inner, uuid.uuid4())}):
            address = reverse(str(pattern.name), kwargs={need: crossed[need] for need in needs})
            method = "POST" if ADDRESSES[str(pattern.name)][0] == SENT_ONLY else "GET"
            assert asks(browser, method, address).status_code == NONE, pattern.name
