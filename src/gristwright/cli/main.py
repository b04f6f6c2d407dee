"""The `gristwright` command: a table of commands, each loaded when it is called. See docs/commands.md."""

from __future__ import annotations

import importlib
import sys
from collections.abc import Sequence
from typing import Any

import click

from gristwright import __version__
from gristwright.cli.echo import echo, echo_line, first_of_each
from gristwright.cli.streams import OUTPUT_LOST, OutputLost, Stream, told_streams
from gristwright.cli.usage_words import usage_sentence
from gristwright.scratch import own_scratch

INPUT_REFUSED = 2

# Name -> where the command is, and the line that help shows without loading it.
COMMANDS: dict[str, tuple[str, str]] = {
    "advise": ("gristwright.cli.advise:advise", "Which mash bills answer a customer's enquiry, and what they give."),
    "run": ("gristwright.cli.run:run", "Follow one bill from the grain to the cask."),
    "order": ("gristwright.cli.order:order", "What one mash of a bill is run by: weights, liquors, steps, limits."),
    "vary": ("gristwright.cli.vary:vary", "One bill on a grid of mash plans: temperatures, thickness, times."),
    "check": ("gristwright.cli.check:check", "Read input files and name every fault in them."),
    "law": ("gristwright.cli.law:law", "What a bill may be called, category by category."),
    "specify": ("gristwright.cli.specify:specify", "A purchase specification for the lots of a bill."),
    "lots": ("gristwright.cli.lots:lots", "Read certificates of lots and say how every figure stands."),
    "ageing": ("gristwright.cli.ageing:ageing", "Does it really read older? Claims, and the plan that proves them."),
    "schema": ("gristwright.cli.schema:schema", "The shape of a plant, bill, enquiry or lots file, for editors."),
    "types": ("gristwright.cli.types:types", "What a type of malt or grain usually shows."),
    "convert": ("gristwright.cli.convert:convert", "A value in another unit, with method and spread."),
    "gauge": ("gristwright.cli.gauge:gauge", "Density, strength, reduction and pure alcohol of a spirit."),
    "cask": ("gristwright.cli.cask:cask", "Casks for years: forecast, regauge, vat, fill and state a stock."),
    "serve": ("gristwright.cli.serve:serve", "The desk: the same jobs in a browser on this machine."),
    "desk": ("gristwright.cli.desk:desk", "The desk's owner: let in again, or given another password."),
}


def sentences_of(fault: BaseException, files: Any = None) -> tuple[str, ...] | None:
    """Every sentence of a refusal, at its place in the files that a command reads; None for any other exception.
    Loads nothing: who raised it has loaded basics, and who read files what tells of their places.
    """
    basics = sys.modules.get("gristwright.basics")
    if basics is None or not isinstance(fault, basics.Refused):
        return None
    told = sys.modules.get("gristwright.cli.told")
    problems = [told.placed(one, files) for one in fault.problems] if told and files else fault.problems
    return tuple(dict.fromkeys(problem.sentence() for problem in problems))


class LazyCommands(click.Group):
    """A group that imports a command when it is called and turns a refusal into sentences and exit code 2."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names of the commands, in the order of the table."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command itself, imported now; None for a name not in the table."""
        if cmd_name not in COMMANDS:
            return None
        module, _, attribute = COMMANDS[cmd_name][0].partition(":")
        try:
            command = getattr(importlib.import_module(module), attribute)
        except ModuleNotFoundError as missing:
            if missing.name != module:
                raise
            raise click.ClickException(f"The command '{cmd_name}' is not part of this installation.") from missing
        assert isinstance(command, click.Command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands in help, from the table alone."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, text) in COMMANDS.items()])

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command; a refusal prints every sentence on stderr, one a line."""
        try:
            return super().invoke(ctx)
        except Exception as fault:
            sentences = sentences_of(fault, ctx.meta.get("gristwright.files"))
            if sentences is None:
                raise
            for sentence in first_of_each(sentences):
                echo_line(sentence, err=True)
            ctx.exit(INPUT_REFUSED)


@click.group(cls=LazyCommands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="gristwright", message="%(prog)s %(version)s")
def cli() -> None:
    """What a whisky mash bill gives, what it may be called, what it costs, and how sure that is.

    A planning aid. Local rules and licensed, competent people decide.
    """


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line; the exit code: 0 done, 1 stopped, 2 input or output refused, 3 not all could be printed."""
    if arguments is None:
        own_scratch()
    try:
        with told_streams():
            return _ended(arguments)
    except OutputLost as lost:
        told = f"The standard output takes no more: {lost}. What was still to be printed is lost."
        print(told, file=Stream(sys.stderr, must=False), flush=True)
        return OUTPUT_LOST


def _ended(arguments: Sequence[str] | None) -> int:
    try:
        ended = cli.main(args=arguments, prog_name="gristwright", standalone_mode=False)
    except click.ClickException as fault:
        echo_line(usage_sentence(fault, tuple(COMMANDS)), err=True)
        return fault.exit_code
    except click.Abort:
        echo("Stopped.", err=True)
        return 1
    return ended if isinstance(ended, int) else 0
