"""Who may come in, from where, and what the pages may load."""

from __future__ import annotations

import os
import re
import stat
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from django.conf import settings
from django.test import Client
from django.urls import get_resolver

from gristwright.store.models import EnquiryRow
from gristwright.workbench import home
from gristwright.workbench.closed import POLICY
from pages import words
from workbench.conftest import HERE

OPEN = {"begin", "enter", "standing", "theme"}


def client(**more: Any) -> Client:
    return Client(headers={"host": HERE}, **more)


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "192.168.0.2"])
@pytest.mark.parametrize("path", ["/", "/enter/", "/static/desk/desk.css"])
def test_a_foreign_host_is_turned_away(db: None, host: str, path: str) -> None:
    assert Client(headers={"host": host}).get(path).status_code == 400


def test_a_forged_post_is_refused(desk: Client, owner: Any) -> None:
    strict = client(enforce_csrf_checks=True)
    strict.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
    assert strict.post("/enquiries/start/", {"way": "example"}).status_code == 403
    assert not EnquiryRow.objects.exists()


def test_a_form_that_is_too_old_leads_back_to_its_page(desk: Client, asked: EnquiryRow, owner: Any) -> None:
    strict = client(enforce_csrf_checks=True)
    strict.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
    page = f"/enquiries/{asked.pk}/age/"
    answer = strict.post(f"{page}prices/", {"fills": "2"}, headers={"referer": f"http://{HERE}{page}"})
    assert answer.status_code == 403
    assert "Nothing was saved" in words(answer)
    assert f'<a href="{page}" autofocus>Open the page again</a>' in answer.content.decode()
    foreign = strict.post(f"{page}prices/", {}, headers={"referer": "http://evil.example/enquiries/"})
    assert "evil.example" not in foreign.content.decode()


@pytest.mark.parametrize(
    ("came", "back"),
    [(f"http://{HERE}/enquiries/x/age/", "/enquiries/x/age/"), ("http://evil.example/x", "/"), ("", "/")],
)
def test_after_signing_in_somebody_who_sent_a_form_is_on_its_page(asked: EnquiryRow, came: str, back: str) -> None:
    answer = client().post(f"/enquiries/{asked.pk}/age/prices/", {"fills": "2"}, headers={"referer": came})
    assert parse_qs(urlsplit(answer["Location"]).query) == {"next": [back], "unsaved": ["1"]}
    assert "what you sent last was not saved" in words(client().get(answer["Location"]))


def test_the_desk_says_who_is_signed_in_and_nothing_to_anybody_else(desk: Client, owner: Any) -> None:
    assert desk.get("/enter/standing/").json()["user"] == owner.get_username()
    assert client().get("/enter/standing/").json()["user"] == ""


def test_every_page_but_the_doors_asks_who_you_are(asked: EnquiryRow) -> None:
    key = "00000000-0000-4000-8000-000000000000"
    for pattern in get_resolver().url_patterns:
        if pattern.name in OPEN:
            continue
        path = re.sub(r"<uuid:\w+>", str(asked.pk), str(pattern.pattern)).replace("<slug:language>", "de")
        path = re.sub(r"\(\?P<\w+>\[0-9a-f-\]\{36\}\)", key, path).replace("(?P<kind>pdf|json|html)$", "pdf")
        answer = client().get("/" + path.replace("\\", "").lstrip("^"))
        assert answer.status_code == 302, pattern.name
        assert answer["Location"].startswith("/enter/"), pattern.name


@pytest.mark.parametrize("path", ["/enter/", "/"])
def test_every_answer_forbids_what_is_not_from_here(desk: Client, path: str) -> None:
    answer = desk.get(path, follow=True)
    assert answer["Content-Security-Policy"] == POLICY
    assert "unsafe" not in POLICY
    assert answer["X-Frame-Options"] == "DENY"
    assert answer["Cache-Control"] == "no-store"


TEMPLATES = sorted((Path(home.__file__).parent / "templates").rglob("*.html"))


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda p: p.name)
def test_no_template_holds_what_the_policy_forbids(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert not re.search(r"<style|\sstyle=|\son\w+=\"|://", text)
    assert all("src=" in tag for tag in re.findall(r"<script[^>]*>", text))


def test_the_first_start_makes_one_owner_and_no_second(db: None) -> None:
    new = client()
    assert new.get("/", follow=True).redirect_chain[-1][0] == "/begin/"
    weak = {"username": "A.Example", "password1": "1234", "password2": "1234"}
    assert new.post("/begin/", weak).status_code == 422
    good = {**weak, "password1": "barley-and-water-7", "password2": "barley-and-water-7"}
    assert new.post("/begin/", good)["Location"] == "/"
    assert new.get("/").status_code == 200
    again = client().post("/begin/", {**good, "username": "B.Example"})
    assert again["Location"] == "/enter/"


def test_five_wrong_passwords_close_the_door_for_a_while(owner: Any) -> None:
    wrong = {"username": "A.Example", "password": "wrong"}
    codes = [client().post("/enter/", wrong).status_code for _ in range(6)]
    assert codes[:4] == [200] * 4
    assert codes[5] == 429
    right = {"username": "A.Example", "password": "barley-and-water-7"}
    assert client().post("/enter/", right).status_code == 429


def test_entering_leads_nowhere_else(owner: Any) -> None:
    right = {"username": "A.Example", "password": "barley-and-water-7", "next": "https://evil.example/"}
    assert client().post("/enter/", right)["Location"] == "/"


def test_the_theme_is_kept_and_leads_nowhere_else(desk: Client) -> None:
    for back in ("//evil.example/", "nowhere", "", "\n"):
        answer = desk.post("/theme/", {"theme": "dark", "back": back})
        assert answer["Location"] == "/"
    assert 'data-theme="dark"' in desk.get("/").content.decode()
    desk.post("/theme/", {"theme": '"><script>', "back": "/"})
    assert 'data-theme="dark"' in desk.get("/").content.decode()


def test_the_key_is_made_once_and_for_its_owner_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(home.VARIABLE, str(tmp_path / "desk"))
    first = home.secret_key()
    assert len(first) > 50
    assert home.secret_key() == first
    if os.name == "posix":
        assert stat.S_IMODE((tmp_path / "desk" / "secret_key").stat().st_mode) == 0o600
        assert stat.S_IMODE((tmp_path / "desk").stat().st_mode) == 0o700


def test_the_data_folder_is_where_a_person_keeps_data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(home.VARIABLE)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert home.folder() == (tmp_path / "gristwright").resolve()


def test_nothing_is_told_of_a_fault() -> None:
    assert settings.DEBUG is False
    assert settings.ALLOWED_HOSTS[:2] == ["127.0.0.1", "localhost"]
