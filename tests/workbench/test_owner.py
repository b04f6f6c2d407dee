"""The lock after wrong passwords, and what the owner does on the machine itself."""

from __future__ import annotations

import datetime as dt
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from django.test import Client
from django.utils import timezone

from gristwright.cli.main import cli
from gristwright.files.data_folder import VARIABLE
from workbench.conftest import HERE

RIGHT = {"username": "A.Example", "password": "barley-and-water-7"}
WRONG = {**RIGHT, "password": "wrong"}
YEARS = dt.timedelta(days=3650)


def enter(said: dict[str, str], **more: Any) -> int:
    return Client(headers={"host": HERE}).post("/enter/", said, **more).status_code


@pytest.fixture
def on_the_machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder that holds a desk, as the commands see it."""
    monkeypatch.setenv(VARIABLE, str(tmp_path))
    laid_down(tmp_path / "desk.sqlite3")
    return tmp_path


def laid_down(path: Path, *steps: str) -> None:
    """A database of a desk as it is looked at before it is opened; what is read of it is the one of the tests."""
    with closing(sqlite3.connect(path)) as made, made:
        made.execute("CREATE TABLE django_migrations (id INTEGER PRIMARY KEY, app TEXT, name TEXT)")
        made.executemany("INSERT INTO django_migrations (app, name) VALUES ('store', ?)", [(step,) for step in steps])


def run(*words: str, typed: str = "") -> Result:
    return CliRunner().invoke(cli, ["desk", *words], input=typed)


def later(monkeypatch: pytest.MonkeyPatch, by: dt.timedelta) -> None:
    """The clock of the desk set forward, or back."""
    for module in ("axes.handlers.proxy.now", "django.utils.timezone.now"):
        monkeypatch.setattr(module, lambda: dt.datetime.now(dt.UTC) + by)


@pytest.mark.parametrize(
    "more",
    [
        {"REMOTE_ADDR": "127.0.0.2"},
        {"REMOTE_ADDR": "::1"},
        {"HTTP_X_FORWARDED_FOR": "10.0.0.9"},
        {"HTTP_FORWARDED": "for=10.0.0.9"},
        {"HTTP_X_REAL_IP": "10.0.0.9"},
        {"HTTP_USER_AGENT": "another"},
    ],
)
def test_wrong_passwords_are_counted_together_whatever_a_request_says_of_itself(
    owner: Any, more: dict[str, str]
) -> None:
    codes = [enter(WRONG, **(more if number % 2 else {})) for number in range(5)]
    assert codes == [200, 200, 200, 200, 429]
    assert enter(RIGHT) == enter(RIGHT, **more) == enter({**RIGHT, "username": "B.Example"}, **more) == 429


def test_who_tries_on_does_not_keep_the_door_closed(owner: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    assert [enter(WRONG) for _ in range(5)][-1] == 429
    later(monkeypatch, dt.timedelta(minutes=10))
    assert enter(WRONG) == 429
    later(monkeypatch, dt.timedelta(minutes=16))
    assert enter(RIGHT) == 302


def test_a_clock_set_back_locks_nobody_out_for_ever(owner: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    later(monkeypatch, YEARS)
    assert [enter(WRONG) for _ in range(5)][-1] == 429
    monkeypatch.undo()
    assert enter(RIGHT) == 429
    later(monkeypatch, dt.timedelta(minutes=16))
    assert enter(RIGHT) == 302


@pytest.mark.parametrize("by", [YEARS, -YEARS], ids=["back from the future", "forward from the past"])
def test_who_came_in_under_another_clock_comes_in_under_this_one(
    owner: Any, monkeypatch: pytest.MonkeyPatch, by: dt.timedelta
) -> None:
    later(monkeypatch, by)
    browser = Client(headers={"host": HERE})
    assert browser.post("/enter/", RIGHT).status_code == 302
    assert timezone.now().year != dt.datetime.now(dt.UTC).year
    monkeypatch.undo()
    assert browser.get("/", follow=True).status_code == 200
    assert browser.post("/enter/", RIGHT).status_code == 302
    assert browser.get("/").status_code == 200


def test_the_locked_page_tells_of_the_command_that_opens_the_door(owner: Any, on_the_machine: Path) -> None:
    said = [Client(headers={"host": HERE}).post("/enter/", WRONG).content.decode() for _ in range(5)][-1]
    assert "gristwright desk unlock" in said
    done = run("unlock")
    assert (done.exit_code, done.output) == (
        0, "The wrong passwords are forgotten; A.Example can sign in again.\n",
    )  # fmt: skip
    assert enter(RIGHT) == 302
    assert run("unlock").output == "No wrong password was counted; A.Example can sign in.\n"


def test_a_lost_password_is_replaced_on_the_machine_and_every_browser_signs_in_again(
    desk: Client, on_the_machine: Path
) -> None:
    assert [enter(WRONG) for _ in range(5)][-1] == 429
    done = run("password", typed="oats-and-sand-8\noats-and-sand-8\n")
    assert done.exit_code == 0
    assert done.output.endswith("The password of A.Example was changed. Every browser has to sign in again.\n")
    assert "oats-and-sand" not in done.output
    assert desk.get("/")["Location"].startswith("/enter/")
    assert (enter(RIGHT), enter({**RIGHT, "password": "oats-and-sand-8"})) == (200, 302)


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("oats-and-sand-8\noats-and-sand-9\n", "New password: the two differ."),
        ("1234\n1234\n", "This password is too short."),
        ("a.example\na.example\n", "The password is too similar to the username."),
        ("", "Stopped."),
    ],
)
def test_a_password_that_will_not_do_changes_nothing(owner: Any, on_the_machine: Path, typed: str, told: str) -> None:
    done = run("password", typed=typed)
    assert done.exit_code != 0
    assert told in done.output + done.stderr or "Aborted" in done.output
    assert "Traceback" not in done.output
    assert enter(RIGHT) == 302


@pytest.mark.parametrize("name", ["unlock", "password"])
def test_where_there_is_no_desk_none_is_made(
    db: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    monkeypatch.setenv(VARIABLE, str(tmp_path / "none"))
    done = run(name)
    assert done.exit_code == 2
    assert done.output == (
        f"{tmp_path / 'none'}: holds no desk. Open one with gristwright serve, or set {VARIABLE} to the folder in "
        "which yours is.\n"
    )
    assert not (tmp_path / "none").exists()


@pytest.mark.parametrize("name", ["unlock", "password"])
def test_a_desk_without_an_owner_says_so(db: None, on_the_machine: Path, name: str) -> None:
    done = run(name)
    assert done.exit_code == 2
    assert "nobody has made their own yet. Open it with gristwright serve and begin." in done.output


@pytest.mark.parametrize("name", ["unlock", "password"])
def test_a_desk_of_a_newer_release_is_left_alone(
    owner: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    monkeypatch.setenv(VARIABLE, str(tmp_path))
    laid_down(tmp_path / "desk.sqlite3", "9999_of_another_day")
    before = (tmp_path / "desk.sqlite3").read_bytes()
    done = run(name)
    assert (done.exit_code, (tmp_path / "desk.sqlite3").read_bytes()) == (2, before)
    assert "newer release" in done.output
