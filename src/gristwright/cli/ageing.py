"""`gristwright ageing`: does it really read older, and what would prove it? See docs/ageing.md."""

from __future__ import annotations

from pathlib import Path

import click

from gristwright.basics import Problem, Refused
from gristwright.casework import claim as claims_of_age
from gristwright.casework.claim import CONFIDENCE, FALSE_RATE, MODELS, Asked
from gristwright.cli.ageing_markers import markers
from gristwright.cli.echo import echo
from gristwright.cli.inputs import seed_option
from gristwright.cli.numbers import NUMBER
from gristwright.cli.tables import as_json, hanging, plain_table, remark
from gristwright.documents.claim_statement import claim_view, write_claim
from gristwright.documents.proof_plan import plan_view
from gristwright.evidence.ageing.limits import confidence_problems
from gristwright.files.claim_in import parse_claim, parse_claims
from gristwright.files.ladder_in import read_casks
from gristwright.files.provenance import fingerprints
from gristwright.files.texts import text_problems
from gristwright.quantities.shown import plain
from gristwright.quantities.units import parse_number
from gristwright.records.ageing import ArmAnswer, ProofPlan
from gristwright.reference.typeface import composed


@click.group()
def ageing() -> None:
    """Does a spirit really read older than it is? Claims against a ladder of casks of known age.

    For inside use: an age on a label is true time in wood.
    """


ageing.add_command(markers)


def ages_of(text: str) -> tuple[float, ...]:
    """Ages such as 3,6,8,12. Raises Refused."""
    try:
        return tuple(parse_number(part) for part in text.split(",") if part.strip())
    except Refused:
        raise Refused([Problem("--ladder", f"{text!r} are no ages.", "Write them as 3,6,8,12.")]) from None


@ageing.command(name="claim")
@click.argument("ladder", type=click.Path(path_type=Path))
@click.argument("arms", type=click.Path(path_type=Path))
@click.option(
    "--claim", "claims", multiple=True, help="What is claimed, true age:ages read, such as 3:6-8; repeatable."
)
@click.option("--model", type=click.Choice(MODELS), default="line", show_default=True, help="How markers go with age.")
@click.option("--confidence", type=NUMBER, default=CONFIDENCE, show_default=True, help="Of every interval, as a share.")
@click.option("--count", multiple=True, help="Marker of your own that nothing but age moves, by heading; repeatable.")
@click.option("--title", default="Does it read older?", show_default=True, help="Title of the statement.")
@click.option("--out", type=click.Path(path_type=Path), default=Path("out"), show_default=True, help="Folder to write.")
@click.option("--chart", is_flag=True, help="Write the charts as SVG as well.")
@click.option("--json", "as_data", is_flag=True, help="Print the statement as JSON instead of the summary.")
def claim_command(
    ladder: Path,
    arms: Path,
    claims: tuple[str, ...],
    model: str,
    confidence: float,
    count: tuple[str, ...],
    title: str,
    out: Path,
    chart: bool,
    as_data: bool,
) -> None:
    """Read the casks of ARMS on the LADDER of reference casks and say only what that carries.

    Writes claim.pdf and claim.json into the folder of --out.
    """
    asked, faults = parse_claims(claims, "--claim")
    old, new = read_casks(ladder), read_casks(arms, arms=True)
    problems = (
        *faults,
        *text_problems(title, "--title"),
        *confidence_problems(confidence),
        *old.problems,
        *new.problems,
    )
    if old.value is None or new.value is None or any(not problem.warning for problem in problems):
        raise Refused(problems)
    inputs = fingerprints([ladder, arms])
    made = claims_of_age.claim(
        old.value, new.value, asked, inputs, problems,
        title=composed(title), model=model, confidence=confidence, count=count,
    )  # fmt: skip
    paths = write_claim(made, out, chart)
    if as_data:
        echo(as_json(claim_view(made)))
        return
    for answer in made.answers:
        show(answer)
    for warning in made.warnings:
        echo("\n" + remark(f"Mind: {warning}"))
    echo("\n" + remark(made.label[0].text))
    echo("\n" + "\n".join(f"Written: {path}" for path in paths))


def show(answer: ArmAnswer) -> None:
    """One arm on a terminal."""
    echo(f"\nArm {answer.arm} at {answer.years:g} years, {answer.casks} casks")
    echo(remark(answer.sentence))
    if answer.verdict_words:
        echo(remark(answer.verdict_words))
    if answer.lines:
        rows = [
            (line.role if line.role == "all markers" else line.title, line.words, "yes" if line.used else "no")
            for line in answer.lines
        ]
        echo("\n" + plain_table(("read from", "age it gives back", "counts"), rows))
    for malt in answer.malt:
        echo(hanging(f"{malt.attribute}: {malt.words}"))
    if answer.settle:
        echo(remark(f"What would settle it: {answer.settle}"))


@ageing.command()
@click.option("--claim", "text", required=True, help="What is to be proved, true age:ages read, such as 3:6-8.")
@click.option("--casks", type=click.IntRange(1), help="Casks an arm; the fewest that reach the power when not given.")
@click.option("--per-age", type=click.IntRange(1), help="Reference casks of each age; half an arm's, three at least.")
@click.option("--ladder", default="3,6,8,12", show_default=True, help="Ages of the reference casks [years].")
@click.option("--arms", type=click.IntRange(1), default=2, show_default=True, help="Arms, the plain bill included.")
@click.option("--markers", type=click.IntRange(1), default=4, show_default=True, help="Markers read for age.")
@click.option("--assessors", type=click.IntRange(1), default=12, show_default=True, help="Assessors of the panel.")
@click.option("--repeats", type=click.IntRange(1), default=1, show_default=True, help="Times each scores each cask.")
@click.option(
    "--power", type=NUMBER, default=0.8, show_default=True, help="Share of trials that are to show it if true."
)
@click.option(
    "--false-rate",
    type=NUMBER,
    default=FALSE_RATE,
    show_default=True,
    help="Most trials that may say older when it is not, as a share; sets the intervals.",
)
@click.option("--reads", type=NUMBER, help="What it truly reads if true [years]; the claim's middle when not given.")
@click.option(
    "--spread", type=NUMBER, help="How far casks of one age differ in a marker [years]; a wide prior if not given."
)
@click.option(
    "--panel-spread", type=NUMBER, help="How far they differ to the panel [years]; a wide prior if not given."
)
@click.option("--cask-cost", type=NUMBER, help="Your price of a filled cask kept for the trial.")
@click.option("--analysis-cost", type=NUMBER, help="Your price of analysing one sample.")
@click.option("--sitting-cost", type=NUMBER, help="Your price of one sitting of the panel.")
@seed_option
@click.option("--json", "as_data", is_flag=True, help="Print JSON.")
def plan(
    text: str,
    casks: int | None,
    per_age: int | None,
    ladder: str,
    arms: int,
    markers: int,
    assessors: int,
    repeats: int,
    power: float,
    false_rate: float,
    reads: float | None,
    spread: float | None,
    panel_spread: float | None,
    cask_cost: float | None,
    analysis_cost: float | None,
    sitting_cost: float | None,
    seed: int,
    as_data: bool,
) -> None:
    """How many casks, ages, markers and sittings a claim takes, with dates, draw of casks and codes."""
    asked = Asked(
        parse_claim(text, "--claim"),
        power,
        arms,
        ages_of(ladder),
        per_age,
        casks,
        markers,
        assessors,
        repeats,
        reads,
        spread,
        cask_cost,
        analysis_cost,
        sitting_cost,
        false_rate,
        panel_spread,
    )
    made = claims_of_age.plan_proof(asked, seed=seed)
    if as_data:
        echo(as_json(plan_view(made)))
        return
    show_plan(made)


def show_plan(made: ProofPlan) -> None:
    """The plan on a terminal; draw and codes are in the JSON."""
    view = plan_view(made)
    echo(remark(view.answer))
    rows = [
        (
            o.casks_per_arm,
            o.ladder_per_age,
            o.samples,
            f"{100 * o.power:.0f} %",
            f"{100 * o.power_older:.0f} %",
            f"{100 * o.false_older:.1f} %",
            plain(o.half_width_years, 1),
            None if o.cost is None else plain(o.cost, 0),
        )
        for o in made.options
    ]
    heads = ("casks an arm", "per age", "samples", "shows it", "shows older", "false older", "half width y", "cost")
    echo("\n" + plain_table(heads, rows))
    if made.levers:
        helped = [(words, f"{100 * power:.0f} %") for words, power in made.levers]
        echo("\n" + plain_table(("the largest trial with", "shows it"), helped))
    echo("\n" + remark(view.reading))
    for number, step in enumerate(made.steps, start=1):
        echo(hanging(f"{number}. {step}"))
    echo()
    for years, what in made.calendar:
        echo(hanging(f"year {years:g}: {what}"))
    echo("\n" + remark(view.years))
    echo(remark("The draw of the casks and the codes of the samples are in the JSON (--json)."))
