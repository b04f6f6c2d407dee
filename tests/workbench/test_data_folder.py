"""A data folder that is not as it should be is told with the way out, and never becomes a new desk in silence."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from gristwright.basics import Refused
from gristwright.files.data_folder import VARIABLE
from gristwright.store.before_opening import refuse_unfit
from gristwright.store.upkeep import known_steps
from gristwright.workbench import home, serving

KNOWN = known_steps()
ANEW = "For an empty desk on purpose set GRISTWRIGHT_HOME to a new folder."


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder in which a desk was kept."""
    folder = tmp_path / "the desk, ä"
    monkeypatch.setenv(VARIABLE, str(folder))
    home.secret_key()
    home.begun(folder)
    made(folder / home.DATABASE)
    return folder


def made(path: Path, steps: tuple[tuple[str, str], ...] = tuple(sorted(KNOWN))) -> None:
    with closing(sqlite3.connect(path)) as base:
        base.execute("CREATE TABLE django_migrations (id INTEGER PRIMARY KEY, app TEXT, name TEXT)")
        base.executemany("INSERT INTO django_migrations (app, name) VALUES (?, ?)", steps)
        base.execute("CREATE TABLE more (filling TEXT)")
        base.executemany("INSERT INTO more VALUES (?)", [("x" * 999,)] * 200)
        base.commit()


def refused(what: Callable[..., object], *given: object) -> str:
    with pytest.raises(Refused) as caught:
        what(*given)
    return " ".join(problem.sentence() for problem in caught.value.problems)


def all_of(folder: Path) -> dict[str, tuple[int, bytes]]:
    return {path.name: (path.stat().st_mtime_ns, path.read_bytes()) for path in folder.iterdir() if path.is_file()}


def test_a_desk_as_it_was_left_is_opened_and_not_touched_before(here: Path) -> None:
    before = all_of(here)
    serving.refuse_unfit(here)
    assert all_of(here) == before


def test_a_new_folder_is_a_new_desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(VARIABLE, str(tmp_path / "new"))
    assert not home.weak(home.secret_key())
    # A first start that was cut off before its database was whole is gone on with.
    (tmp_path / "new" / home.DATABASE).touch()
    serving.refuse_unfit(tmp_path / "new")
    home.begun(tmp_path / "new")
    assert "is empty, though a desk was kept" in refused(serving.refuse_unfit, tmp_path / "new")


@pytest.mark.parametrize(
    ("spoilt", "words"),
    [
        (lambda base: base.unlink(), "is missing, though a desk was kept in this folder."),
        (lambda base: base.write_bytes(b""), "is empty, though a desk was kept in this folder."),
        (lambda base: base.write_bytes(base.read_bytes()[:9000]), "is damaged and was not opened."),
        (lambda base: base.write_bytes(b"no database at all" * 99), "is damaged and was not opened."),
        (lambda base: base.write_bytes(base.read_bytes()[:8192] + os.urandom(99_999)), "is damaged"),
    ],
    ids=["missing", "emptied", "cut short", "another file", "overwritten"],
)
def test_data_that_are_gone_are_told_with_the_copies(here: Path, spoilt: Callable[[Path], object], words: str) -> None:
    copy = here / "desk-before-0012_library.sqlite3"
    made(copy)
    spoilt(here / home.DATABASE)
    before = all_of(here)
    said = refused(serving.refuse_unfit, here)
    assert words in said
    assert "without any file desk.sqlite3-wal or -shm" in said
    assert f"{copy.name} of 20" in said
    assert said.endswith(ANEW)
    assert all_of(here) == before


def test_a_database_of_a_newer_release_is_refused_and_not_written_to(here: Path) -> None:
    with closing(sqlite3.connect(here / home.DATABASE)) as base:
        base.execute("PRAGMA journal_mode=WAL")
        base.execute("PRAGMA wal_autocheckpoint=0")
        base.execute("INSERT INTO django_migrations (app, name) VALUES ('store', '9999_later')")
        base.commit()
        # What a killed desk leaves: the step stands in the log alone.
        kept = {
            path.name: path.read_bytes() for path in here.glob(f"{home.DATABASE}*") if path.suffix != ".sqlite3-shm"
        }
    for name, content in kept.items():
        (here / name).write_bytes(content)
    (here / f"{home.DATABASE}-shm").unlink(missing_ok=True)
    assert (here / f"{home.DATABASE}-wal").stat().st_size > 0
    before = all_of(here)
    said = refused(serving.refuse_unfit, here)
    assert "was kept by a newer release (its step store.9999_later is not known to this one)." in said
    assert all_of(here) == before


def test_the_database_of_another_program_is_refused(here: Path) -> None:
    (here / home.DATABASE).unlink()
    with closing(sqlite3.connect(here / home.DATABASE)) as base:
        base.execute("CREATE TABLE photographs (name TEXT)")
    assert "is the database of another program" in refused(serving.refuse_unfit, here)
    (here / home.DATABASE).unlink()
    (here / home.DATABASE).mkdir()
    assert "cannot be opened" in refused(refuse_unfit, here / home.DATABASE, True, KNOWN, [])


@pytest.mark.parametrize("weak", [b"", b"short", b"a" * 80, "schlüssel".encode() * 9, b"\0" * 80])
def test_a_key_that_is_no_key_is_made_anew_and_that_is_said(here: Path, weak: bytes) -> None:
    (here / home.KEY).write_bytes(weak)
    (said,) = home.key_to_be_made_anew(here)
    assert "was made anew: everybody has to sign in again" in said
    assert not home.weak(home.secret_key())
    assert home.secret_key() == home.secret_key()
    assert (here / home.KEY).stat().st_mode & 0o077 == 0
    assert home.key_to_be_made_anew(here) == []


def test_a_key_that_is_a_folder_is_told(here: Path) -> None:
    (here / home.KEY).unlink()
    (here / home.KEY).mkdir()
    assert "it is a folder" in refused(home.secret_key)


def test_a_path_that_is_no_folder_for_data_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_bytes(b"")
    (tmp_path / "away").symlink_to(tmp_path / "not mounted")
    (tmp_path / "circle").symlink_to(tmp_path / "circle")
    for named, words in (
        (tmp_path / "file", "is a file; the data of a desk are in a folder."),
        (tmp_path / "file" / "below", "a part of its path is a file"),
        (tmp_path / "away", "which is not there. Bring that back, or take the link away."),
        (tmp_path / "circle", "circle"),
        (Path("desk"), "'desk' is no whole path. Set GRISTWRIGHT_HOME to a path from the root"),
        (Path("~nobody-of-that-name/desk"), "names a home that is not known"),
        (tmp_path / ("n" * 300), "too long"),
    ):
        with monkeypatch.context() as only:
            only.setenv(VARIABLE, str(named))
            assert words in refused(home.folder), named
    assert not (tmp_path / "not mounted").exists()


def test_a_link_to_a_folder_is_that_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "real")
    monkeypatch.setenv(VARIABLE, str(tmp_path / "link"))
    assert home.folder() == tmp_path / "real"


def test_a_lock_or_a_folder_of_pages_that_is_something_else_is_told(here: Path) -> None:
    (here / "static").write_bytes(b"")
    assert "static: cannot be made" in refused(home.static)
    for odd in (Path.mkdir, lambda path: path.symlink_to(here / home.KEY)):
        odd(here / "desk.lock")
        key = (here / home.KEY).read_bytes()
        assert "desk.lock: cannot be written" in refused(lambda: serving.only_desk(here).__enter__())
        assert (here / home.KEY).read_bytes() == key
        (here / "desk.lock").rmdir() if (here / "desk.lock").is_dir() else (here / "desk.lock").unlink()


def test_what_others_could_read_is_closed_to_them_and_said(here: Path) -> None:
    here.chmod(0o755)
    (here / home.DATABASE).chmod(0o644)
    (here / home.KEY).chmod(0o640)
    said = list(home.closed_to_others(here))
    assert sum("could read" in line for line in said) == 2
    assert said[-1] == f'Others on this machine can look into {here}. Close it to them: chmod 700 "{here}"'
    assert (here / home.DATABASE).stat().st_mode & 0o777 == 0o600
    here.chmod(0o700)
    assert list(home.closed_to_others(here)) == []
