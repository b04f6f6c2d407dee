"""An engine that dies, hangs, swells or babbles is one sentence, and the next request is answered."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from gristwright.basics import Refused
from gristwright.charts import render as charts
from gristwright.documents import render as documents
from gristwright.guard.engine import Engine
from house.places import PACKAGE

LINE = {
    "data": {"values": [{"a": 1, "b": 2}, {"a": 2, "b": 4}]},
    "mark": "line",
    "encoding": {"x": {"field": "a", "type": "quantitative"}, "y": {"field": "b", "type": "quantitative"}},
}


@pytest.fixture
def engine() -> Iterator[Engine]:
    """An engine of a module made for these tests, with a short time."""
    found = Engine("guard.trouble", "The picture", "Ask for it again.", 20.0)
    yield found
    found.close()


def refused(engine: Engine, **request: object) -> str:
    with pytest.raises(Refused) as caught:
        engine.ask(request)
    return str(caught.value)


def pid(engine: Engine) -> int:
    assert engine.process is not None
    return engine.process.pid


def test_it_starts_when_first_asked_and_stays(engine: Engine) -> None:
    assert engine.process is None
    assert engine.ask({"do": "say", "text": "é"}) == ["é".encode()]
    first = pid(engine)
    assert engine.ask({"do": "say", "text": ""}) == [b""]
    assert pid(engine) == first


@pytest.mark.parametrize(
    ("request_", "said"),
    [
        ({"do": "abort"}, "The picture could not be drawn (its engine broke off). Ask for it again."),
        ({"do": "leave"}, "The picture could not be drawn (its engine broke off). Ask for it again."),
        ({"do": "babble"}, "The picture could not be drawn (its engine broke off). Ask for it again."),
        ({"do": "fail", "text": "no\nsuch mark"}, "The picture could not be drawn (no such mark). Ask for it again."),
        ({"do": "swell"}, "The picture could not be drawn (MemoryError). Ask for it again."),
    ],
)
def test_what_breaks_is_a_sentence_and_the_next_is_drawn(engine: Engine, request_: dict[str, str], said: str) -> None:
    assert engine.ask({"do": "say", "text": "before"}) == [b"before"]
    assert refused(engine, **request_) == said
    assert engine.ask({"do": "say", "text": "after"}) == [b"after"]


def test_an_endless_request_is_stopped(engine: Engine) -> None:
    engine.ask({"do": "say", "text": ""})
    before, engine.seconds = pid(engine), 0.3
    assert "it takes more than 0.3 seconds" in refused(engine, do="loop")
    engine.seconds = 20.0
    assert engine.ask({"do": "say", "text": "after"}) == [b"after"]
    assert pid(engine) != before
    with pytest.raises(ProcessLookupError):
        os.kill(before, 0)  # ended, and no zombie


def test_the_wait_for_a_turn_has_an_end(engine: Engine) -> None:
    engine.ask({"do": "say", "text": ""})
    told: list[str] = []
    hanging = threading.Thread(target=lambda: told.append(refused(engine, do="loop")))
    hanging.start()
    while not engine._turn.locked():
        time.sleep(0.01)
    engine.seconds = 0.2
    assert "waited 0.2 seconds for others to be drawn before it" in refused(engine, do="say", text="")
    os.kill(pid(engine), signal.SIGKILL)
    hanging.join(20)
    assert told == ["The picture could not be drawn (its engine broke off). Ask for it again."]


def test_one_that_was_killed_while_it_waited_is_not_noticed(engine: Engine) -> None:
    engine.ask({"do": "say", "text": ""})
    os.kill(pid(engine), signal.SIGKILL)
    assert engine.process is not None
    engine.process.wait(20)
    assert engine.ask({"do": "say", "text": "after"}) == [b"after"]


def test_many_threads_get_each_its_own(engine: Engine) -> None:
    got: dict[int, list[bytes]] = {}
    threads = [
        threading.Thread(target=lambda n=n: got.update({n: engine.ask({"do": "say", "text": str(n)})}))
        for n in range(12)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(20)
    assert got == {n: [str(n).encode()] for n in range(12)}


def test_a_system_without_processes_says_so(engine: Engine, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(sys, "executable", str(tmp_path / "nowhere"))
    assert "its engine could not be started: No such file or directory" in refused(engine, do="say", text="")


@pytest.mark.parametrize("busy", [False, True])
def test_it_does_not_outlive_the_process_that_asks(busy: bool) -> None:
    """The one that asks is killed, so nothing of it can clear up; an engine at work ends with its computing time."""
    code = (
        "from gristwright.guard.engine import Engine; import os, threading, time\n"
        "engine = Engine('guard.trouble', 'It', '', 1.0)\n"
        "engine.ask({'do': 'say', 'text': ''}); print(engine.process.pid, flush=True)\n"
        f"threading.Thread(target=lambda: {busy} and engine.ask({{'do': 'loop'}}), daemon=True).start()\n"
        "time.sleep(0.3); os.kill(os.getpid(), 9)\n"
    )
    path = os.pathsep.join(sys.path)
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, env=os.environ | {"PYTHONPATH": path}
    )
    engine = int(done.stdout)
    deadline = time.monotonic() + 60
    while Path(f"/proc/{engine}").exists() and time.monotonic() < deadline:
        time.sleep(0.05)
    assert not Path(f"/proc/{engine}").exists()


# The two engines there are.


def test_a_picture_is_drawn_after_its_engine_was_killed_in_the_middle() -> None:
    before = charts.svg(LINE)
    assert charts.ENGINE.process is not None
    killed = threading.Timer(0.05, charts.ENGINE.process.kill)
    killed.start()
    endless = {"data": {"sequence": {"start": 0, "stop": 3_000_000}}, "mark": "point"}
    with pytest.raises(Refused, match=r"The picture could not be drawn \(its engine broke off\)"):
        charts.svg(endless)
    assert charts.svg(LINE) == before


def test_a_picture_that_eats_memory_or_time_is_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    charts.svg(LINE)
    monkeypatch.setattr(charts.ENGINE, "seconds", 1.0)
    endless = {"data": {"sequence": {"start": 0, "stop": 1e9}}, "mark": "point"}
    with pytest.raises(Refused, match=r"The picture could not be drawn \((it takes more|its engine broke)"):
        charts.svg(endless)
    monkeypatch.undo()
    assert charts.svg(LINE).startswith("<svg")


def test_a_document_that_does_not_end_is_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    data = {"issued": {"iso": "2026-01-01"}}
    sound = {"house.typ": "", "order.typ": '#set document(title: "T")\nOne'}
    first = documents.pages_of("order.typ", data, sound, ppi=20.0)
    monkeypatch.setattr(documents.ENGINE, "seconds", 2.0)
    # One range as long as both would end by its memory before its time.
    endless = "#for i in range(100000) { for j in range(100000) { } }"
    with pytest.raises(Refused, match=r"The document could not be drawn \(it takes more than 2 seconds\)"):
        documents.pages_of("order.typ", data, {**sound, "order.typ": endless}, ppi=20.0)
    with pytest.raises(Refused, match=r"The document could not be drawn \(.*unknown variable"):
        documents.pages_of("order.typ", data, {**sound, "order.typ": "#nothing"}, ppi=20.0)
    monkeypatch.undo()
    assert documents.pages_of("order.typ", data, sound, ppi=20.0) == first


def test_nothing_draws_or_sets_outside_the_engines() -> None:
    imports = re.compile(r"^\s*(?:import|from) (?:typst|vl_convert)\b", re.MULTILINE)
    found = [path.name for path in PACKAGE.rglob("*.py") if imports.search(path.read_text(encoding="utf-8"))]
    assert sorted(found) == ["drawing.py", "setting.py"]
