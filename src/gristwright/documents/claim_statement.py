"""What may be said of arms read on a ladder, as a PDF and the JSON it was printed from. See docs/ageing.md."""

from __future__ import annotations

import datetime as dt
import json
import tempfile
from pathlib import Path

import typst

from gristwright import __version__
from gristwright.basics import Address, Problem, Refused
from gristwright.charts import render as charts
from gristwright.charts.ageing import ladder_chart, reading_chart
from gristwright.charts.fonts import font_folder
from gristwright.documents.entries import View, date_entry, entry, readable
from gristwright.documents.render import LOOK, STANDARD, replace_together, templates
from gristwright.documents.view import inputs_digest
from gristwright.quantities.shown import capital, plain
from gristwright.records.age_evidence import AGREE_AT
from gristwright.records.ageing import AgeLine, ArmAnswer, ClaimAnswer, MaltLine
from gristwright.records.results import Fact

FORMAT = "gristwright.claim/1"
PDF, JSON, TEMPLATE = "claim.pdf", "claim.json", "claim_statement.typ"
FOR_INSIDE = "For inside use: no age in it may stand on a label. A planning aid, not legal advice."
MEASURED = "measured on casks of this programme"
INVENTED = "Invented example"


def claim_view(answer: ClaimAnswer) -> View:
    """Every text and number of a statement, ready for JSON; each number says what it rests on."""
    view = {
        "format": FORMAT,
        "language": "en",
        "title": answer.title,
        "customer": ", ".join(name for name, _ in answer.inputs),
        "invented": answer.invented,
        "issued": date_entry(answer.issued),
        "model": answer.model,
        "confidence": f"{100.0 * answer.confidence:g} %",
        "arms": [arm_view(one) for one in answer.answers],
        "method": [_fact(fact) for fact in answer.method],
        "label": [_fact(fact) for fact in answer.label],
        "warnings": list(answer.warnings),
        "cautions": list(answer.cautions),
        "assumptions": [],
        "provenance": {
            "version": __version__,
            "inputs": [{"file": name, "sha256": digest} for name, digest in answer.inputs],
            "inputs_digest": inputs_digest(answer.inputs),
        },
        "notes": {"planning_aid": FOR_INSIDE, "invented": INVENTED if answer.invented else ""},
    }
    return {key: readable(part) for key, part in view.items()}


def _fact(fact: Fact) -> View:
    return {"text": fact.text, "standing": fact.standing, "source": fact.source}


def arm_view(one: ArmAnswer) -> View:
    """One arm: its statement, how the claim stands, and what both rest on."""
    return {
        "arm": one.arm,
        "title": f"Arm {one.arm} at {one.years:g} years",
        "wood": one.wood,
        "statement": one.statement,
        "sentence": one.sentence,
        "claim": one.claim.words() if one.claim else "",
        "verdict": one.verdict.value,
        "verdict_words": one.verdict_words,
        "casks": one.casks,
        "ladder": _ladder(one),
        "lines": [line_view(line) for line in one.lines],
        "malt": [malt_view(line) for line in one.malt],
        "agreement": _agreement(one.agreement),
        "conditions": conditions(one),
        "settle": one.settle,
        "charts": {"reading": reading_chart(one), "ladder": ladder_chart(one)},
    }


def conditions(one: ArmAnswer) -> str:
    """What the statement rests on: casks, wood, ladder, and whether one age fits all markers."""
    wood = f" in {one.wood}" if one.wood else ""
    arm = f"{one.casks} cask{'s' * (one.casks != 1)} of this arm{wood}"
    return "; ".join(part for part in (arm, _ladder(one), _agreement(one.agreement)) if part) + "."


def _ladder(one: ArmAnswer) -> str:
    rungs = ", ".join(f"{count} of {age:g} years" for age, count in one.rungs)
    return f"{one.ladder_casks} comparable reference casks: {rungs}" if rungs else "no comparable reference cask"


def _agreement(p: float | None) -> str:
    if p is None:
        return ""
    shown = "p under 0.001" if p < 0.001 else f"p = {plain(p, 3)}"
    return f"one age for all markers: {shown}" + ("" if p >= AGREE_AT else ", so no age is stated")


def line_view(line: AgeLine) -> View:
    """One row of the table of ages."""
    return {
        "key": line.key,
        "title": capital(line.title),
        "role": line.role,
        "estimate": line.estimate,
        "low": line.low,
        "high": line.high,
        "form": line.form,
        "words": line.words,
        "casks": line.casks,
        "ladder_casks": line.ladder_casks,
        "freedom": round(line.freedom, 2),
        "used": line.used,
        "note": line.note,
        "standing": "measured",
    }


def malt_view(line: MaltLine) -> View:
    """A note of the panel, apart from age; judged as malt's own flavour or shown alone."""
    number = entry(
        f"malt.{line.attribute}", line.attribute, "points", line.difference, 1, basis=MEASURED, difference=True
    )
    return {
        "attribute": capital(line.attribute),
        "raised": line.raised,
        "judged": line.judged,
        "words": line.words,
        "difference": number,
    }


def claim_json(view: View) -> bytes:
    """The view as UTF-8 JSON, keys in the order of the document."""
    return (json.dumps(view, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode()


def sources(view: View) -> dict[str, str]:
    """Everything the template reads, by file name; one picture an arm that has one."""
    pictures = {
        f"{kind}-{number}.svg": charts.svg(arm["charts"][kind])
        for number, arm in enumerate(view["arms"])
        for kind in ("reading", "ladder")
        if arm["charts"][kind] is not None
    }
    return {**templates(TEMPLATE, LOOK), "view.json": json.dumps(view, ensure_ascii=False), **pictures}


def claim_pages(view: View, ppi: float | None = None) -> list[bytes]:
    """The statement as a PDF, or as PNG pages when `ppi` [dots per inch] is given."""
    with tempfile.TemporaryDirectory(prefix="gristwright-page-") as name:
        root = Path(name)
        for file, text in sources(view).items():
            (root / file).write_text(text, encoding="utf-8")
        compiler = typst.Compiler(
            root=str(root), input=str(root / TEMPLATE), font_paths=[str(font_folder())], ignore_system_fonts=True
        )
        noon = dt.datetime.combine(dt.date.fromisoformat(view["issued"]["iso"]), dt.time(12), dt.UTC)
        made = (
            compiler.compile(format="png", ppi=ppi)
            if ppi is not None
            else compiler.compile(format="pdf", pdf_standards=[STANDARD], timestamp=int(noon.timestamp()))
        )
    return made if isinstance(made, list) else [made or b""]


def write_claim(answer: ClaimAnswer, folder: Path, pictures: bool = False) -> tuple[Path, ...]:
    """Write claim.pdf and claim.json, and the charts as SVG when asked: all of them or none.

    Raises Refused when the folder cannot be made or written to.
    """
    view = claim_view(answer)
    contents = {PDF: claim_pages(view)[0], JSON: claim_json(view)}
    if pictures:
        contents |= {f"claim-{k}": text.encode() for k, text in sources(view).items() if k.endswith(".svg")}
    try:
        folder.mkdir(parents=True, exist_ok=True)
        replace_together(folder, contents)
    except OSError as error:
        what = f"the statement cannot be written there ({error.strerror or error})."
        raise Refused([Problem(Address(str(folder)), what, "Name another folder.")]) from error
    return tuple(folder / name for name in contents)
