"""Ends runs, workers and desks without a word at seeded moments, and looks at what they left.

    python tests/kills.py 200           so many kills
    python tests/kills.py 200 --seed 7  at other moments

Of ten kills seven meet files being written for a terminal, and one each a desk that takes writes and files, a worker
within a job, and a desk of release 0.1 being brought up to date. After each: files of one set are all of one run,
nothing is left over after the next one, a database is whole and holds every write that was acknowledged, no job is
stuck.
"""

from __future__ import annotations

import argparse
import gzip
import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
import urllib.error
from collections.abc import Callable, Iterator
from contextlib import closing, suppress
from http.client import HTTPException
from pathlib import Path

TESTS = Path(__file__).parent
sys.path.insert(0, str(TESTS))

from browser.conftest import Desk  # noqa: E402
from browser.person import LOTS, PASSWORD, Person  # noqa: E402
from gristwright.files.writing import tidy  # noqa: E402
from gristwright.scratch import PREFIX, sweep  # noqa: E402

NAMES = ("recommendation.pdf", "recommendation.json", "dossier.pdf", "dossier.html", "dossier.json")
WRITES = f"""
import sys, itertools
from pathlib import Path
from gristwright.files.writing import write_set
from gristwright.scratch import own_scratch
scratch = own_scratch()
(scratch / "certificate.xlsx").write_bytes(b"a customer's")
for run in itertools.count(int(sys.argv[2])):
    write_set(Path(sys.argv[1]), {{name: f"{{run}} ".encode() * 40_000 for name in {NAMES!r}}})
    print(run, flush=True)
"""
OPENS = """
from gristwright.workbench import home, serving
print("begins", flush=True)
with serving.only_desk(home.folder()):
    serving._open_data(print)
    from gristwright.store.models import EnquiryRow
    print("open", EnquiryRow.objects.count())
"""
FAULT = "FAULT"


def started(code: str, *arguments: str, **env: str) -> subprocess.Popen[str]:
    """A program of its own that says in its first line that it is under way."""
    command = [sys.executable, "-c", code, *arguments]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=os.environ | env)
    assert process.stdout is not None
    process.stdout.readline()
    return process


def killed(process: subprocess.Popen[str]) -> str:
    """End a program as a power cut would; what it had said."""
    process.kill()
    said = process.communicate()[0]
    return str(said)


def whole(base: Path) -> list[str]:
    """What SQLite says against a database."""
    with closing(sqlite3.connect(base)) as connection:
        found = [text for (text,) in connection.execute("PRAGMA integrity_check")]
    return [] if found == ["ok"] else [f"{base.name}: {found[:2]}"]


class Terminal:
    """A command writes its files over those of an earlier run."""

    def __init__(self, folder: Path) -> None:
        self.out, self.temporary, self.last = folder / "out", folder / "tmp", 0
        self.temporary.mkdir()

    def kill(self, moment: random.Random) -> list[str]:
        """One kill; what is not as it should be."""
        process = started(WRITES, str(self.out), str(self.last + 1), TMPDIR=str(self.temporary))
        time.sleep(moment.uniform(0.0, 0.08))
        lines = killed(process).split()
        acknowledged = int(lines[-1]) if lines else self.last + 1
        seen = self.runs()
        found = [] if len(seen) < 2 else [f"files of runs {seen} stand side by side"]
        tidy(self.out)
        sweep(self.temporary)
        after = self.runs()
        if len(after) != 1 or sorted(path.name for path in self.out.iterdir()) != sorted(NAMES):
            found.append(f"after the next run: {after}, {sorted(path.name for path in self.out.iterdir())}")
        elif acknowledged > max(after):
            found.append(f"run {acknowledged} was acknowledged and is not there")
        found += [f"left: {path.name}" for path in self.temporary.glob(f"{PREFIX}*")]
        self.last = max(after, default=self.last)
        return found

    def runs(self) -> set[int]:
        """Which runs the files that can be seen are of."""
        files = [path for path in self.out.iterdir() if path.name in NAMES]
        return {int(number) for path in files for number in set(path.read_bytes().split())}


class Upkeep:
    """A desk of release 0.1 is brought up to date."""

    def __init__(self, folder: Path) -> None:
        self.template, self.home, self.course = folder / "before", folder / "home", 0.0
        self.template.mkdir(mode=0o700)
        with closing(sqlite3.connect(self.template / "desk.sqlite3")) as made:
            made.executescript(gzip.decompress((TESTS / "store" / "desk-0.1.sql.gz").read_bytes()).decode())

    def kill(self, moment: random.Random) -> list[str]:
        """One kill; the first time it is seen how long an update takes that nobody cuts off."""
        if not self.course:
            began = time.monotonic()
            found = self.opened()
            self.course = time.monotonic() - began
            if found:
                return found
            shutil.rmtree(self.template / "static", ignore_errors=True)
            shutil.move(self.home / "static", self.template / "static")
        self.fresh()
        process = started(OPENS, **self.settings())
        time.sleep(moment.uniform(0.0, self.course * 0.8))
        killed(process)
        return self.opened(fresh=False)

    def fresh(self) -> None:
        shutil.rmtree(self.home, ignore_errors=True)
        shutil.copytree(self.template, self.home)

    def settings(self) -> dict[str, str]:
        return {"GRISTWRIGHT_HOME": str(self.home), "DJANGO_SETTINGS_MODULE": "gristwright.workbench.settings"}

    def opened(self, fresh: bool = True) -> list[str]:
        """Open it to the end; what is not as it should be."""
        if fresh:
            self.fresh()
        process = started(OPENS, **self.settings())
        said = process.communicate()[0]
        found = [] if process.returncode == 0 and "open 3" in said else [f"did not open: {said}"]
        for base in self.home.glob("desk*.sqlite3"):
            found += whole(base)
        copies = list(self.home.glob("desk-before-*.sqlite3"))
        found += [] if copies else ["no copy was kept"]
        return found + left_over(self.home)


def left_over(home: Path) -> list[str]:
    """What no desk that is closed or open leaves in its folder."""
    odd = [*home.rglob(".gristwright*"), *home.rglob("*.half"), *home.rglob("*.aside"), *home.glob("beginning")]
    return [f"left: {path.name}" for path in odd]


class Writes:
    """Somebody writes and sends files to a desk, which is opened again after every kill."""

    def __init__(self, folder: Path) -> None:
        self.home = folder / "home"
        self.home.mkdir(mode=0o700)
        self.titles: list[str] = []
        self.files: list[str] = []
        self.here = ""

    def kill(self, moment: random.Random) -> list[str]:
        """One kill; what is not as it should be."""
        desk = Desk(self.home).open()
        found = left_over(self.home)
        person = Person(desk.address)
        if not self.here:
            self.here = person.begin()
        else:
            person.get("/enter/")
            person.send("/enter/", username="A.Example", password=PASSWORD)
        timer = threading.Timer(moment.uniform(0.2, 3.0), desk.kill)
        timer.start()
        with suppress(urllib.error.URLError, HTTPException, OSError, AssertionError):
            while timer.is_alive():
                self.write(person)
        timer.join()
        return found + self.lost() + whole(self.home / "desk.sqlite3")

    def write(self, person: Person) -> None:
        """A new enquiry and a certificate; each is acknowledged by the page that answers."""
        title, name = f"enquiry {len(self.titles)}", f"lots{len(self.files)}.csv"
        person.get("/")
        person.send("/enquiries/start/", way="empty", title=title)
        if title in person.page:
            self.titles.append(title)
        person.get(f"{self.here}certificates/")
        person.send_file(f"{self.here}certificates/send/", name, LOTS)
        if name in person.page:
            self.files.append(name)

    def lost(self) -> list[str]:
        """What was acknowledged and is not there."""
        with closing(sqlite3.connect(self.home / "desk.sqlite3")) as base:
            titles = {text for (text,) in base.execute("SELECT title FROM store_enquiry")}
            files = {text for (text,) in base.execute("SELECT name FROM store_certificatefile")}
        return [f"lost: {one}" for one in (*set(self.titles) - titles, *set(self.files) - files)]


class Jobs:
    """The worker of an open desk dies within a job; the next one goes on with the next job."""

    def __init__(self, folder: Path) -> None:
        self.home = folder / "home"
        self.home.mkdir(mode=0o700)
        self.desk = Desk(self.home).open()
        self.person = Person(self.desk.address)
        self.here = self.person.begin()

    def kill(self, moment: random.Random) -> list[str]:
        """One kill; what is not as it should be."""
        self.person.get(self.here)
        self.person.send(f"{self.here}mash/map/", **{"share.CM-120": "10", "rest": "PD-1", "points": "7"})
        if not self.waited(lambda: self.states()[-1:] == ["running"]):
            return [f"the job was not begun: {self.states()[-2:]}"]
        time.sleep(moment.uniform(0.0, 1.0))
        for worker in self.workers():
            os.kill(worker, signal.SIGKILL)
        if not self.waited(lambda: self.states()[-1] in ("interrupted", "done")):
            return [f"the job is stuck: {self.states()[-1]}"]
        return whole(self.home / "desk.sqlite3")

    def workers(self) -> list[int]:
        """Children of every thread of the desk, for a later worker is the child of the one that looks after it."""
        assert self.desk.process is not None
        threads = Path(f"/proc/{self.desk.process.pid}/task").glob("*/children")
        return [int(number) for path in threads for number in path.read_text(encoding="ascii").split()]

    def states(self) -> list[str]:
        with closing(sqlite3.connect(self.home / "desk.sqlite3")) as base:
            return [state for (state,) in base.execute("SELECT state FROM store_job ORDER BY asked_at")]

    def waited(self, until: Callable[[], bool], seconds: float = 180.0) -> bool:
        end = time.monotonic() + seconds
        while not until():
            if time.monotonic() > end:
                return False
            time.sleep(0.1)
        return True

    def close(self) -> None:
        """End the desk as a person does."""
        self.desk.close()


PARTS = {"terminal": (Terminal, 7), "writes": (Writes, 1), "job": (Jobs, 1), "update": (Upkeep, 1)}


def attacked(kills: int, seed: int, folder: Path, parts: tuple[str, ...] = tuple(PARTS)) -> Iterator[tuple[str, str]]:
    """Kill so often in all; the part and what was found, nothing where all was well, for each."""
    shares = sum(PARTS[name][1] for name in parts)
    given = 0
    for number, name in enumerate(parts):
        kind, share = PARTS[name]
        count = kills - given if number == len(parts) - 1 else kills * share // shares
        given += count
        if not count:
            continue
        (folder / name).mkdir()
        part, moment = kind(folder / name), random.Random(f"{seed} {name}")
        for _ in range(count):
            yield name, "; ".join(part.kill(moment))
        if isinstance(part, Jobs):
            part.close()


def main() -> int:
    """Kill, and print how it stands after each part."""
    parser = argparse.ArgumentParser()
    parser.add_argument("kills", type=int, nargs="?", default=200)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    began, counts, faults = time.monotonic(), dict.fromkeys(PARTS, 0), 0
    with tempfile.TemporaryDirectory(prefix="gristwright-kills-") as name:
        for part, found in attacked(asked.kills, asked.seed, Path(name)):
            counts[part] += 1
            faults += bool(found)
            if found:
                print(f"{FAULT} {part} {counts[part]}: {found}", flush=True)
    told = ", ".join(f"{count} {part}" for part, count in counts.items())
    print(
        f"{sum(counts.values())} kills ({told}), seed {asked.seed}: {faults} faults, {time.monotonic() - began:.0f} s"
    )
    return int(faults > 0)


if __name__ == "__main__":
    raise SystemExit(main())
