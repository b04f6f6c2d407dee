"""An enquiry as the files it can be read from again: the other way round from `jobs_in`. See docs/files.md.

What is written is read again before it is handed out, so no file leaves that would come back as something else.
"""

from __future__ import annotations

import dataclasses
import io
import tempfile
import zipfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from gristwright.basics import NOWHERE, Problem, Refused, at
from gristwright.files.casks_out import casks_table, exact
from gristwright.files.certificates import lots_table, read_lots
from gristwright.files.csv_out import csv_bytes
from gristwright.files.jobs_in import read_enquiry
from gristwright.files.plant_in import cask_data, plant_data
from gristwright.files.record_in import as_data
from gristwright.files.toml_in import NEWEST
from gristwright.files.toml_out import toml_text
from gristwright.records.ageing import CaskTable, ClaimAsked
from gristwright.records.enquiry import Enquiry, EnquiryTerms
from gristwright.records.lot import Lot

ENQUIRY, PLANT, BILL, LOTS = "enquiry.toml", "plant.toml", "bill.toml", "lots.csv"
# A file is dated by what is in it and not by the day of writing, so that one enquiry gives one ZIP.
UNDATED = (1980, 1, 1, 0, 0, 0)


def enquiry_files(asked: Enquiry, given: Sequence[Lot]) -> dict[str, bytes]:
    """Every file of an enquiry by name. Raises Refused with what keeps them from being read back as they are."""
    casks = _cask_files(asked.claim) if asked.claim else {}
    terms = EnquiryTerms(**{f.name: getattr(asked, f.name) for f in dataclasses.fields(EnquiryTerms)})
    top = {**_said(as_data(terms, whole=True)), "plant": PLANT, "present": BILL}
    if asked.asked:
        top["asked"] = [
            {"name": bill.name, "shares": {share.lot_id: share.pct for share in bill.shares}} for bill in asked.asked
        ]
    if asked.release:
        top.setdefault("release", {})  # prices that are all nothing are prices, too
    if asked.claim:
        top["claim"] = _claim(asked.claim, list(casks))
    files = {
        ENQUIRY: _written("enquiry", top),
        PLANT: _written("plant", {**plant_data(asked.plant), **_cask(asked)}),
        BILL: _written("bill", _bill(asked)),
    }
    if given:
        files[LOTS] = csv_bytes(lots_table(given))
    files |= {name: csv_bytes(casks_table(table)) for name, table in casks.items()}
    _read_back(files, asked, given)
    return files


def zipped(files: Mapping[str, bytes]) -> bytes:
    """The files in one ZIP, the same bytes for the same files."""
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(zipfile.ZipInfo(name, UNDATED), content, zipfile.ZIP_DEFLATED)
    return written.getvalue()


def _written(kind: str, data: Mapping[str, Any]) -> bytes:
    return toml_text({"format": f"gristwright.{kind}/{NEWEST[kind]}", **data}).encode()


def _said(data: Mapping[str, Any]) -> dict[str, Any]:
    """Without tables and lists that hold nothing."""
    return {key: value for key, value in data.items() if value not in ({}, [])}


def _cask(asked: Enquiry) -> dict[str, Any]:
    return {"cask": cask_data(asked.cask)} if asked.cask else {}


def _bill(asked: Enquiry) -> dict[str, Any]:
    """Today's bill with what the enquiry says of it, so that it can be followed by itself too."""
    shares = {share.lot_id: share.parts / 100.0 for share in asked.present.shares}
    prices = {one.lot_id: one.price_per_t for one in asked.offered if one.lot_id in shares}
    own: dict[str, Any] = {"purpose": asked.purpose, "date": asked.date, "currency": asked.currency}
    more: dict[str, Any] = {"categories": list(asked.categories), "markets": list(asked.markets), "prices": prices}
    if asked.target_attenuation_pct is not None:
        own["target_attenuation_pct"] = asked.target_attenuation_pct
    return {"name": asked.present.name, "plant": PLANT, **own, **_said(more), "shares": shares}


def _claim(claim: ClaimAsked, files: Sequence[str]) -> dict[str, Any]:
    claims = [f"{exact(one.years)}:{exact(one.low)}-{exact(one.high)}" for one in claim.claims]
    grists = {one.arm: {kind: parts / 100.0 for kind, parts in one.parts} for one in claim.grists}
    named = {"ladder": files[0], "arms": files[1], "claims": claims, "model": claim.model, "count": list(claim.count)}
    return named | _said({"grist": grists})


def _cask_files(claim: ClaimAsked) -> dict[str, CaskTable]:
    """The two tables by their own names, as CSV."""
    names = [_as_csv(claim.ladder.file, "ladder.csv"), _as_csv(claim.arms.file, "arms.csv")]
    if names[0] == names[1] or LOTS in names:
        names = ["ladder.csv", "arms.csv"]
    return dict(zip(names, (claim.ladder, claim.arms), strict=True))


def _as_csv(file: str, usual: str) -> str:
    stem = Path(file.replace("\\", "/")).stem
    return f"{stem}.csv" if stem else usual


# Reading it again


def _read_back(files: Mapping[str, bytes], asked: Enquiry, given: Sequence[Lot]) -> None:
    with tempfile.TemporaryDirectory(prefix="gristwright-written-") as name:
        folder = Path(name)
        for file, content in files.items():
            (folder / file).write_bytes(content)
        reading = read_enquiry(folder / ENQUIRY)
        lots = read_lots(folder / LOTS) if given else None
    problems = [p for p in (*reading.problems, *(lots.problems if lots else ())) if not p.warning]
    if problems:
        raise Refused([_at_the_enquiry(problem) for problem in problems])
    changed = _differences(asked, reading.accepted()) + _lots_changed(given, lots.accepted() if lots else ())
    if changed:
        raise Refused(changed)


# Files of an enquiry by what its record calls them.
PARTS = {ENQUIRY: "question", PLANT: "plant"}


def _at_the_enquiry(problem: Problem) -> Problem:
    """A fault of a file that was never handed out, at the field of the enquiry that it was written from."""
    where = problem.address
    if where.file not in PARTS or not where.path:
        return problem
    cask = where.file == PLANT and where.path[0] == "cask"
    return dataclasses.replace(problem, where=at(*(() if cask else (PARTS[where.file],)), *where.path))


def _differences(asked: Enquiry, read: Enquiry) -> list[Problem]:
    """Fields of an enquiry that would come back as something else."""
    what, way_out = "cannot be written so that it reads back as it is.", "Change it and try again."
    pairs = [(f.name, getattr(asked, f.name), getattr(read, f.name)) for f in dataclasses.fields(Enquiry)]
    return [Problem(at("question", name), what, way_out) for name, was, now in pairs if _plain(was) != _plain(now)]


def _plain(part: Any) -> Any:
    """A claim without the names of its files and the places in them; anything else as it is."""
    if not isinstance(part, ClaimAsked):
        return part
    return dataclasses.replace(part, ladder=_unplaced(part.ladder), arms=_unplaced(part.arms))


def _unplaced(table: CaskTable) -> CaskTable:
    samples = tuple(dataclasses.replace(one, row=0) for one in table.samples)
    scores = tuple(dataclasses.replace(one, row=0) for one in table.scores)
    return dataclasses.replace(table, file="", samples=samples, scores=scores)


def _lots_changed(given: Sequence[Lot], read: Sequence[Lot]) -> list[Problem]:
    what, way_out = "cannot be written so that it reads back as it is.", "Mend it under Certificates and try again."
    pairs = zip(given, read, strict=False)
    changed = [was.lot_id for was, now in pairs if known(was) != known(now)]
    return [Problem(at("lot", name, "lot_id"), what, way_out) for name in changed]


def known(lot: Lot) -> Lot:
    """A lot without where it stood, which is another place in every file, and its figures in order of their fields."""
    bare = [dataclasses.replace(one, where=NOWHERE) for one in lot.analyses]
    ordered = sorted(bare, key=lambda one: (one.field, one.unit, one.basis, one.method))
    return dataclasses.replace(lot, analyses=tuple(ordered), where=NOWHERE, certificate="")
