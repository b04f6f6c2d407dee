"""How fast the desk is. Run: .venv/bin/python benchmarks/desk.py. Figures are of one run on one machine.

A desk on a folder of its own with one enquiry of thirty invented lots, an answer issued and a mash simulated. Every
address that shows a page or gives a file is loaded twenty times; shares are typed twenty times; of the bill page
everything a browser loads is counted as it is sent. The limits are for a machine with nothing else to do.
"""

from __future__ import annotations

import dataclasses
import os
import re
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urljoin

from gristwright.files.certificates.lots_in import read_lots
from gristwright.files.jobs_in import read_enquiry

EXAMPLE = Path(__file__).parents[1] / "examples" / "all-malt-pot"
LOTS, LOADS, DRAWS = 30, 20, 256
# What a page waits after a keystroke before it asks.
DELAY_MS = 40
MOST_PAGE_MS, MOST_TYPED_MS, MOST_BYTES = 300.0, 250.0, 1_000_000
SCRIPT = {"HX-Request": "true"}
LOADED = re.compile(r"""(?:src|import|from|url)\s*[=(]?\s*["']([^"'?#]+\.(?:js|css|ttf))["']""")
STYLE = re.compile(r'rel="stylesheet" href="([^"]+)"')


def timed(what: Callable[[], Any]) -> tuple[float, float]:
    """Milliseconds that 19 of 20 loads take at most, and the least; the first one counts like any other."""
    taken = []
    for _ in range(LOADS):
        start = time.perf_counter()
        what()
        taken.append(1000.0 * (time.perf_counter() - start))
    return sorted(taken)[int(0.95 * LOADS) - 1], min(taken)


def line(what: str, found: float, least: float, limit: float, unit: str) -> bool:
    """Print one figure beside its least and its limit; whether it is held."""
    held = found <= limit
    print(f"{what:46} {found:10,.0f} {least:10,.0f} {limit:10,.0f} {unit:6} {'held' if held else 'NOT HELD'}")
    return held


def desk() -> Any:
    """A signed-in client of a desk on the folder GRISTWRIGHT_HOME."""
    from gristwright.workbench import home, made_static
    from gristwright.workbench.worker import set_up

    made_static.lay_out(home.static())
    set_up()
    from django.contrib.auth import get_user_model
    from django.test import Client

    from gristwright.store.upkeep import bring_up_to_date

    bring_up_to_date()
    owner = get_user_model().objects.create_user("A. Example", password="barley-and-water-7")
    client = Client(headers={"host": "127.0.0.1"})
    client.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
    return client


def fill(client: Any) -> dict[str, Any]:
    """An enquiry with its answer, its mash and thirty lots on offer; the keys of everything that has an address."""
    from django.contrib.auth import get_user_model

    from gristwright.store.library import add_lot, offer_lot
    from gristwright.store.mapping import save_enquiry
    from gristwright.workbench import issued, jobs

    owner = get_user_model().objects.get()
    given = read_lots(EXAMPLE / "lots.csv").accepted()
    row = save_enquiry(read_enquiry(EXAMPLE / "enquiry.toml").accepted(), given, owner)
    jobs.ask(row, DRAWS, owner)
    work()
    answer = row.answers.get()
    issued.issue(answer, owner, "A. Example", "")
    for number in range(LOTS - len(given)):
        add_lot(row, dataclasses.replace(given[number % len(given)], lot_number=f"N{number}"), f"More {number}", owner)
        offer_lot(row, f"More {number}", price_per_t=500.0 + number)
    here = f"/enquiries/{row.pk}/"
    client.post(f"{here}mash/", shares(row, 1))
    work()
    with (EXAMPLE / "lots.csv").open("rb") as file:
        client.post(f"{here}certificates/send/", {"file": file})
    keys = {"key": row.pk, "answer_key": answer.pk, "kind": "pdf", "name": "lots.csv"}
    return keys | {"file_key": row.certificate_files.get().pk, "lot_key": row.named.all()[0].pk}


def work() -> None:
    """What the worker does with the job that waits."""
    from gristwright.workbench import jobs

    job = jobs.claim()
    assert job is not None
    jobs.run(job)


def shares(row: Any, number: int) -> dict[str, str]:
    """Shares of a bill as they are sent: the second lot has `number` in a hundred, the first one the rest."""
    first, second = [offer.lot_id for offer in row.offered.all()][:2]
    return {f"share.{first}": f"{100 - number}", f"share.{second}": str(number), "rest": ""}


def addresses(keys: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Every address that can be made of these keys, with the name of its pattern."""
    from django.urls import get_resolver, reverse

    for pattern in get_resolver().url_patterns:
        needs = pattern.pattern.regex.groupindex
        if all(need in keys for need in needs):
            yield str(pattern.name), reverse(str(pattern.name), kwargs={need: keys[need] for need in needs})


def body(client: Any, address: str, **head: str) -> bytes:
    """What is sent for an address, packed as it is sent."""
    got = client.get(address, headers=head)
    assert got.status_code == 200, address
    return b"".join(got.streaming_content) if got.streaming else bytes(got.content)


def loaded(client: Any, address: str) -> set[str]:
    """Everything that a page loads, what that loads too."""
    found, waiting = set(), [address]
    while waiting:
        here = waiting.pop()
        if here in found:
            continue
        found.add(here)
        # The engine of the charts is one file without imports; its text has words that look like some.
        if not here.endswith((".ttf", ".min.js", "vega.js")):
            text = body(client, here).decode()
            waiting += [urljoin(here, name) for name in (*LOADED.findall(text), *STYLE.findall(text))]
    return found


def main() -> bool:
    """Print every figure once; whether all limits are held."""
    client = desk()
    keys = fill(client)
    from gristwright.store.models import EnquiryRow

    row = EnquiryRow.objects.get()
    here = f"/enquiries/{row.pk}/"
    print(f"{'one enquiry of ' + str(LOTS) + ' lots':46} {'found':>10} {'least':>10} {'limit':>10}")
    pages = [(name, address) for name, address in addresses(keys) if client.get(address).status_code == 200]
    took = {name: timed(lambda address=address: client.get(address)) for name, address in pages}  # type: ignore[misc]
    held = [line(f"{name}, p95 of {LOADS} loads", *found, MOST_PAGE_MS, "ms") for name, found in took.items()]
    typed = iter(range(2, 2 + LOADS))
    first, least = timed(lambda: client.post(f"{here}try/", shares(row, next(typed)), headers=SCRIPT))
    told = f"a share typed to new figures, {DELAY_MS} ms waiting"
    held.append(line(told, first + DELAY_MS, least + DELAY_MS, MOST_TYPED_MS, "ms"))
    files = loaded(client, here)
    packed = sum(len(body(client, name, accept_encoding="gzip")) for name in files)
    plain = sum(len(body(client, name)) for name in files)
    held.append(line(f"first load of the bill page, {len(files)} files", packed, packed, MOST_BYTES, "bytes"))
    print(f"sent plain it is {plain / packed:.1f} times as much")
    print(f"a typed share takes {least / took['bill'][1]:.2f} times as long as the bill page")
    return all(held)


if __name__ == "__main__":
    with tempfile.TemporaryDirectory(prefix="gristwright-benchmark-") as folder:
        os.environ["GRISTWRIGHT_HOME"] = folder
        raise SystemExit(0 if main() else 1)
