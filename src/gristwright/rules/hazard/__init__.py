"""The cautions shown where work can hurt. See docs/law.md."""

from gristwright.rules.hazard.model import Caution, cautions, topics

__all__ = ["Caution", "cautions", "topics"]
