"""What was typed wrongly on the command line, in one sentence with the way out."""

from __future__ import annotations

import difflib
import re

import click

# What was typed may be a whole file by mistake; a sentence stays one that can be read.
LONGEST, MOST_SAID = 120, 760
ENDS = re.compile(r"^(?P<value>.*?) is not in the range ")
EXTRA = re.compile(r"^Got unexpected extra arguments? \((?P<words>.*)\)", re.DOTALL)
TYPED = re.compile(r"^'(?P<value>.*)' (?:is not|does not)", re.DOTALL)


def usage_sentence(fault: click.ClickException, commands: tuple[str, ...] = ()) -> str:
    """The sentence; where a command is known, how its help is asked for stands behind it."""
    said = _said(fault, commands)
    if len(said) > 2 * LONGEST + MOST_SAID:
        said = f"{said[:LONGEST]} … {said[-LONGEST:]}"
    context = getattr(fault, "ctx", None)
    path = context.command_path if isinstance(context, click.Context) else ""
    return f"{said} {path} --help tells more." if path else said


def _said(fault: click.ClickException, commands: tuple[str, ...]) -> str:
    if isinstance(fault, click.NoSuchOption):
        meant = f" Did you mean {' or '.join(sorted(fault.possibilities))}?" if fault.possibilities else ""
        return f"{fault.option_name}: is no option here.{meant}"
    if isinstance(fault, click.MissingParameter):
        return _missing(fault)
    if isinstance(fault, click.BadParameter) and fault.param is not None:
        return _bad(fault, fault.param)
    if fault.message.startswith("No such command"):
        name = fault.message.split("'")[1]
        near = difflib.get_close_matches(name[:LONGEST], commands, 1)
        return f"{name}: is no command.{f' Did you mean {near[0]}?' if near else ''}"
    if extra := EXTRA.match(fault.message):
        return f"{extra['words']}: is more than is asked for here."
    return f"{fault.message.rstrip('.')}."


def _name(param: click.Parameter) -> str:
    """An option as it is typed, an argument as its help names it."""
    return next((name for name in param.opts if name.startswith("--")), (param.name or "").upper())


def _missing(fault: click.MissingParameter) -> str:
    param = fault.param
    if param is None:
        return fault.message
    if isinstance(param, click.Option):
        return f"{_name(param)}: is missing. {param.help or ''}".rstrip()
    kind = param.type
    choices = f" One of: {', '.join(map(str, kind.choices))}." if isinstance(kind, click.Choice) else ""
    return f"{(param.name or '').upper()}: is missing.{choices or ' Name it behind the command.'}"


def _bad(fault: click.BadParameter, param: click.Parameter) -> str:
    name, kind = _name(param), param.type
    typed = TYPED.match(fault.message)
    value = typed["value"] if typed else ""
    if isinstance(kind, click.IntRange):
        ends = _ends(kind)
        if outside := ENDS.match(fault.message):
            said = f"outside {ends}" if kind.max is not None else f"below {kind.min}"
            return f"{name}: {outside['value']} is {said}. {_help(param)}".rstrip()
        return f"{name}: {value!r} is not a whole number. Give one, {ends}."
    if isinstance(kind, click.Choice):
        words = [str(choice) for choice in kind.choices]
        near = difflib.get_close_matches(value[:LONGEST], words, 1)
        way_out = f"Did you mean {near[0]!r}?" if near else f"Use one of: {', '.join(words)}."
        return f"{name}: {value!r} is not known here. {way_out}"
    if isinstance(kind, click.DateTime) and " is outside " not in fault.message:
        return f"{name}: {value!r} is not a date. Write it as 2026-11-25."
    return f"{name}: {fault.message}"


def _ends(kind: click.IntRange) -> str:
    if kind.min is not None and kind.max is not None:
        return f"{kind.min}-{kind.max}"
    return f"{kind.min} or more" if kind.min is not None else f"at most {kind.max}"


def _help(param: click.Parameter) -> str:
    return (param.help or "") if isinstance(param, click.Option) else ""
