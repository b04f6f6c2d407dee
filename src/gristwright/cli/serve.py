"""`gristwright serve`: the desk in a browser on this machine. See docs/desk.md."""

from __future__ import annotations

import click

from gristwright.cli.echo import echo


@click.command()
@click.option(
    "--port", type=click.IntRange(0, 65535), default=8471, show_default=True, help="Port; 0 for any free one."
)
@click.option("--no-browser", is_flag=True, help="Do not open a browser.")
def serve(port: int, no_browser: bool) -> None:
    """Open the desk: enquiries, certificates, bills and answers in a browser on this machine.

    It listens on 127.0.0.1 alone and keeps everything in the folder GRISTWRIGHT_HOME.
    """
    from gristwright.workbench.serving import serve as open_desk

    open_desk(port, not no_browser, echo)
