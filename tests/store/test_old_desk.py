"""A desk that release 0.1 kept opens with everything in it, and stays as it was in a copy aside.

`desk-0.1.sql.gz` is what that release wrote: the invented example with two changes of its house and one of its cask
and an answer issued, a house that cooks its grain with one change, and an enquiry half filled in.
"""

from __future__ import annotations

import gzip
import json
import os
import sqlite3
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from gristwright.store import migrations

DUMP = Path(__file__).with_name("desk-0.1.sql.gz")
MIGRATIONS = Path(migrations.__file__).parent
LOOK = """
import json, django
django.setup()
from gristwright.basics import Refused
from gristwright.workbench.serving import _prepare
kept, again = _prepare(), _prepare()
from django.contrib.auth import get_user_model
from django.test import Client
from gristwright.store.library import lot_records
from gristwright.store.mapping import enquiry_problems, enquiry_record
from gristwright.store.models import Answer, EnquiryRow
from gristwright.store.frozen import sha256
from gristwright.workbench.changes import changes
def told(row):
    try:
        asked = enquiry_record(row)
        mash = asked.plant.mash
        said = dict(rests=[[r.settled_degC, r.minutes] for r in mash.rests], settled=mash.settled_mash_degC,
                    vessel=mash.vessel, liquor=mash.liquor_L_per_kg, cooling=asked.plant.washbacks.cooling,
                    second=list(mash.cooker.second_species) if mash.cooker else [], backset=mash.backset_pct,
                    cask=[asked.cask.kind.name, asked.cask.kind.capacity_L, asked.cask.entry_abv_pct],
                    months=len(asked.cask.climate.month_degC), pots=bool(asked.plant.pot_stills))
    except Refused:
        said = {}
    return dict(said, missing=[p.sentence() for p in enquiry_problems(row)], lots=len(lot_records(row)),
                plants=[v.document for v in row.plant.house.versions.all()],
                changes=[[c.who, c.what, c.verb, c.old, c.new] for c in reversed(changes(row))])
def page(answer):
    desk = Client(headers={"host": "127.0.0.1"})
    desk.force_login(get_user_model().objects.get(), backend="django.contrib.auth.backends.ModelBackend")
    got = desk.get(f"/enquiries/{answer.enquiry_id}/answers/{answer.pk}/")
    shown = answer.papers.shown
    return [got.status_code, answer.papers.shown_sha256 == sha256(shown), shown in got.content.decode(),
            "Offers beside today" in shown, "Try offer A on the bill page" in got.content.decode()]
print(json.dumps(dict(kept=str(kept), again=again, found={row.title: told(row) for row in EnquiryRow.objects.all()},
    answers=[[a.inputs_sha256 == sha256(a.inputs), a.view_sha256 == sha256(a.view),
              a.papers.pdf_sha256 == sha256(bytes(a.papers.pdf)), len(a.papers.pdf) > 10_000,
              [(step.kind, step.who) for step in a.decisions.all()] == [("issued", "A. Example")]]
             for a in Answer.objects.all()],
    pages=[page(a) for a in Answer.objects.all()])))
"""


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """What a desk on a copy of those data says after it was brought up to date."""
    home = tmp_path_factory.mktemp("desk")
    with sqlite3.connect(home / "desk.sqlite3") as made:
        made.executescript(gzip.decompress(DUMP.read_bytes()).decode())
    settings = {"GRISTWRIGHT_HOME": str(home), "DJANGO_SETTINGS_MODULE": "gristwright.workbench.settings"}
    run = subprocess.run([sys.executable, "-c", LOOK], env=os.environ | settings, capture_output=True, text=True)
    assert run.returncode == 0, run.stderr
    return json.loads(run.stdout)


def test_the_data_are_copied_aside_once(opened: Any) -> None:
    kept = Path(opened["kept"])
    newest = max(path.stem for path in MIGRATIONS.glob("0*.py"))
    assert kept.name == f"desk-before-{newest}.sqlite3"
    assert opened["again"] is None
    assert kept.stat().st_mode & 0o077 == 0
    with sqlite3.connect(kept) as before:
        assert before.execute("SELECT count(*) FROM store_house").fetchone() == (3,)


def test_the_example_says_what_it_said(opened: Any) -> None:
    said = opened["found"]["Caramel malt in an all-malt whisky"]
    assert said["missing"] == []
    assert said["rests"] == [[52.0, 10.0], [64.5, 45.0], [72.0, 15.0]]
    assert (said["settled"], said["vessel"], said["liquor"], said["cooling"]) == (64.5, "lauter", 3.6, "coil")
    assert said["cask"] == ["hogshead", 231.5, 60.0]
    assert (said["months"], said["pots"], said["lots"]) == (12, True, 4)


def test_the_cooked_house_says_what_it_said(opened: Any) -> None:
    said = opened["found"]["High-enzyme malt for a maize and rye bill"]
    assert said["missing"] == []
    assert (said["second"], said["backset"], said["pots"], said["lots"]) == (["wheat"], 15.0, False, 4)


def test_what_was_half_filled_in_is_and_says_what_is_missing(opened: Any) -> None:
    said = opened["found"]["Half filled in"]
    assert said["plants"][-1]["mash"] == {"kg_per_mash": 1500.0}
    assert said["plants"][-1]["washbacks"] == {"hours": 60.0}
    assert "plant, mash, wort_L_per_t: is missing. Fill it in under House." in said["missing"]
    assert not any("kg_per_mash" in sentence or "hours" in sentence for sentence in said["missing"])


def test_who_changed_what_is_still_told_field_by_field(opened: Any) -> None:
    told = opened["found"]["Caramel malt in an all-malt whisky"]["changes"]
    assert ["A. Example", "The house: Vessel", "changed", "tun", "lauter"] in told
    assert ["A. Example", "The house: Liquor of the first water", "changed", "68", "nothing"] in told
    assert ["A. Example", "The house: Rest 2, settled at", "changed", "nothing", "64.5"] in told
    assert ["A. Example", "The cask: Kind of cask", "changed", "barrel", "hogshead"] in told
    assert ["A. Example", "The cask: Capacity", "changed", "200", "231.5"] in told


def test_an_answer_is_what_it_was(opened: Any) -> None:
    assert opened["answers"] == [[True] * 5]


def test_the_page_of_its_answer_is_frozen_at_the_start_and_shown(opened: Any) -> None:
    assert opened["pages"] == [[200, True, True, True, True]]
