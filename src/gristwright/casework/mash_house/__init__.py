"""The mash followed, varied, ordered and weighed out. See docs/mash_simulation.md and docs/order.md."""

from gristwright.casework.mash_house.mash_bench import grist_bench, set_out
from gristwright.casework.mash_house.mash_part import temperature_key
from gristwright.casework.mash_house.mash_run import mash_run, run_on
from gristwright.casework.mash_house.order_alone import ordered_alone
from gristwright.casework.mash_house.over import axis_of, setting_of, stands_at
from gristwright.casework.mash_house.vary import vary, with_waters
from gristwright.casework.mash_house.wash_run import wash_on, wash_run

__all__ = [
    "axis_of",
    "grist_bench",
    "mash_run",
    "ordered_alone",
    "run_on",
    "set_out",
    "setting_of",
    "stands_at",
    "temperature_key",
    "vary",
    "wash_on",
    "wash_run",
    "with_waters",
]
