"""What the desk prints on the owner's terminal: nothing that somebody sends can steer it. See docs/desk.md."""

from __future__ import annotations

import logging

from gristwright.reference.typeface import steered


class StillLines(logging.Formatter):
    """A line as ever; what would steer a terminal, such as ESC in an address, stands as its code point."""

    def format(self, record: logging.LogRecord) -> str:
        """The line, with the traceback where there is one."""
        return steered(super().format(record))
