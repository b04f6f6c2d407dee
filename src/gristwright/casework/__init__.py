"""One function for each job of the adviser: takes records, returns records. Knows no file and no database.

The jobs: `advise`, `forecast` and `check` for a distiller, `brew` for a brewer. See docs/casework.md.
"""

from gristwright.casework.beer import brew
from gristwright.casework.bench.one_bill import check, forecast
from gristwright.casework.recommend.recommend import advise

__all__ = ["advise", "brew", "check", "forecast"]
