"""A desk that is killed in the middle of its work opens again with everything that was kept, and says what was not."""

from __future__ import annotations

import sqlite3
import time

import pytest

from browser.conftest import Desk
from browser.person import PASSWORD, Person


def ended(process_id: int) -> bool:
    """Whether a process is gone, looked at for some seconds."""
    for _ in range(50):
        try:
            with open(f"/proc/{process_id}/stat", encoding="ascii") as file:
                if file.read().rsplit(")", 1)[1].split()[0] == "Z":
                    return True
        except FileNotFoundError:
            return True
        time.sleep(0.1)
    return False


def children(process_id: int) -> list[int]:
    with open(f"/proc/{process_id}/task/{process_id}/children", encoding="ascii") as file:
        return [int(text) for text in file.read().split()]


def test_a_cut_in_a_search_and_in_an_upload(tmp_path_factory: pytest.TempPathFactory) -> None:
    home = tmp_path_factory.mktemp("cut")
    desk = Desk(home).open()
    person = Person(desk.address)
    here = person.begin()
    person.get(f"{here}certificates/")
    person.begin_to_send_file(f"{here}certificates/send/")
    person.get(f"{here}answers/")
    person.send(f"{here}answers/find/", draws="16384")
    for _ in range(50):
        if "Running" in person.get(f"{here}answers/"):
            break
        time.sleep(0.1)
    assert "Running" in person.page
    assert desk.process is not None
    workers = children(desk.process.pid)
    desk.kill()
    assert workers
    assert all(ended(worker) for worker in workers)

    again = Desk(home).open()
    try:
        person = Person(again.address)
        person.get("/enter/")
        person.send("/enter/", username="A.Example", password=PASSWORD)
        assert "Interrupted" in person.get(f"{here}answers/")
        assert "Nothing of it was kept; ask again." in person.page
        assert "half.csv" not in person.get(f"{here}certificates/")
        assert "PD-1" in person.page
    finally:
        again.close()
    with sqlite3.connect(home / "desk.sqlite3") as base:
        assert base.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    base.close()


def test_a_cut_in_a_mash(tmp_path_factory: pytest.TempPathFactory) -> None:
    home = tmp_path_factory.mktemp("cut-mash")
    desk = Desk(home).open()
    person = Person(desk.address)
    here = person.begin()
    person.send(f"{here}mash/map/", **{"share.CM-120": "10", "rest": "PD-1", "points": "7"})
    for _ in range(100):
        if "of 49" in person.get(here):
            break
        time.sleep(0.1)
    assert "of 49" in person.page
    desk.kill()

    again = Desk(home).open()
    try:
        person = Person(again.address)
        person.get("/enter/")
        person.send("/enter/", username="A.Example", password=PASSWORD)
        assert "Interrupted" in person.get(here)
        assert "Nothing of it was kept; ask again." in person.page
        assert "The plan varied" not in person.page
        assert "90 % PD-1 + 10 % CM-120" in person.page
    finally:
        again.close()


def test_a_second_desk_on_one_folder_is_refused(desk: Desk) -> None:
    second = Desk(desk.home)
    with pytest.raises(AssertionError):
        second.open()
    assert second.process is not None
    assert second.process.wait(20) == 2
    assert second.process.stdout is not None
    second.process.stdout.close()
