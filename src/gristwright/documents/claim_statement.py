"""What may be said of arms read on a ladder, as a PDF and the JSON it was printed from. See docs/ageing.md."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from gristwright.charts import render as charts
from gristwright.charts.ageing import ladder_chart, reading_chart
from gristwright.charts.theme import Chart
from gristwright.documents import render
from gristwright.documents.entries import Entry, FootNotes, HeadView, date_entry, entry, readable
from gristwright.documents.provenance import MadeView, made_view
from gristwright.files.writing import write_set
from gristwright.quantities.shown import capital, plain
from gristwright.records.age_evidence import AGREE_AT
from gristwright.records.ageing import AgeLine, ArmAnswer, ClaimAnswer, MaltLine
from gristwright.records.results import Fact

FORMAT = "gristwright.claim/1"
PDF, JSON, TEMPLATE = "claim.pdf", "claim.json", "claim_statement.typ"
FOR_INSIDE = "For inside use: no age in it may stand on a label. A planning aid, not legal advice."
MEASURED = "measured on casks of this programme"
INVENTED = "Invented example"


@dataclass(frozen=True)
class AgeLineView:
    """One row of the table of ages."""

    key: str
    title: str
    role: str
    estimate: float | None
    low: float | None
    high: float | None
    form: str
    words: str
    casks: int
    ladder_casks: int
    freedom: float
    used: bool
    note: str
    standing: str


@dataclass(frozen=True)
class MaltView:
    """A note of the panel against the ladder; judged as malt's own flavour, read for age, or shown alone."""

    attribute: str
    raised: bool
    judged: bool
    words: str
    difference: Entry
    speaks_of: str  # malt, immature or age; empty where neither table nor file says it


@dataclass(frozen=True)
class ArmCharts:
    """The pictures of an arm; None where there is nothing to draw."""

    reading: Chart | None
    ladder: Chart | None


@dataclass(frozen=True)
class ArmView:
    """One arm: its statement, how the claim stands, and what both rest on."""

    arm: str
    title: str
    wood: str
    statement: str
    sentence: str
    claim: str
    verdict: str
    verdict_words: str
    casks: int
    ladder: str
    lines: tuple[AgeLineView, ...]
    malt: tuple[MaltView, ...]
    agreement: str
    conditions: str
    settle: str
    charts: ArmCharts


@dataclass(frozen=True)
class ClaimView(HeadView):
    """What may be said of every arm, how it was read, and what may not be printed."""

    model: str
    confidence: str
    arms: tuple[ArmView, ...]
    method: tuple[Fact, ...]
    label: tuple[Fact, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    assumptions: tuple[()]
    provenance: MadeView
    notes: FootNotes


def claim_view(answer: ClaimAnswer) -> ClaimView:
    """Every text and number of a statement; each number says what it rests on."""
    view = ClaimView(
        format=FORMAT,
        language="en",
        title=answer.title,
        customer=", ".join(name for name, _ in answer.inputs),
        invented=answer.invented,
        issued=date_entry(answer.issued),
        model=answer.model,
        confidence=f"{100.0 * answer.confidence:g} %",
        arms=tuple(arm_view(one) for one in answer.answers),
        method=answer.method,
        label=answer.label,
        warnings=answer.warnings,
        cautions=answer.cautions,
        assumptions=(),
        provenance=made_view(answer.inputs),
        notes=FootNotes(FOR_INSIDE, INVENTED if answer.invented else ""),
    )
    return readable(view)


def arm_view(one: ArmAnswer) -> ArmView:
    """One arm as a view."""
    return ArmView(
        arm=one.arm,
        title=f"Arm {one.arm} at {one.years:g} years",
        wood=one.wood,
        statement=one.statement,
        sentence=one.sentence,
        claim=one.claim.words() if one.claim else "",
        verdict=one.verdict.value,
        verdict_words=one.verdict_words,
        casks=one.casks,
        ladder=_ladder(one),
        lines=tuple(line_view(line) for line in one.lines),
        malt=tuple(malt_view(line) for line in one.malt),
        agreement=_agreement(one.agreement),
        conditions=conditions(one),
        settle=one.settle,
        charts=ArmCharts(reading_chart(one), ladder_chart(one)),
    )


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


def line_view(line: AgeLine) -> AgeLineView:
    """One row of the table of ages as a view."""
    return AgeLineView(
        key=line.key,
        title=capital(line.title),
        role=line.role,
        estimate=line.estimate,
        low=line.low,
        high=line.high,
        form=line.form,
        words=line.words,
        casks=line.casks,
        ladder_casks=line.ladder_casks,
        freedom=round(line.freedom, 2),
        used=line.used,
        note=line.note,
        standing="measured",
    )


def malt_view(line: MaltLine) -> MaltView:
    """A note of the panel as a view."""
    number = entry(
        f"malt.{line.attribute}", line.attribute, "points", line.difference, 1, basis=MEASURED, difference=True
    )
    return MaltView(capital(line.attribute), line.raised, line.judged, line.words, number, line.speaks_of)


def pictures(view: ClaimView) -> dict[str, str]:
    """The charts as SVG by file name; one picture an arm that has one."""
    return {
        f"{kind}-{number}.svg": charts.svg(chart)
        for number, arm in enumerate(view.arms)
        for kind, chart in (("reading", arm.charts.reading), ("ladder", arm.charts.ladder))
        if chart is not None
    }


def claim_pages(view: ClaimView, ppi: float | None = None) -> list[bytes]:
    """The statement as a PDF, or as PNG pages when `ppi` [dots per inch] is given."""
    return render.pages(TEMPLATE, view, pictures(view), ppi)


def write_claim(answer: ClaimAnswer, folder: Path, charted: bool = False) -> tuple[Path, ...]:
    """Write claim.pdf and claim.json, and the charts as SVG when asked: all of them or none.

    Raises Refused when the folder cannot be made or written to.
    """
    view = claim_view(answer)
    contents = {PDF: claim_pages(view)[0], JSON: render.view_json(view)}
    if charted:
        contents |= {f"claim-{name}": text.encode() for name, text in pictures(view).items()}
    return write_set(folder, contents)
