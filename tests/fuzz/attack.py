"""`make fuzz`: attack every reader, form and option parser for a while and write down what must not happen."""

from __future__ import annotations

import argparse
import faulthandler
import logging
import os
import resource
import sys
import tempfile
from pathlib import Path

TESTS = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(TESTS)]
# One thread for small matrices: the machine is shared with whoever works on it.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# Beyond it a case ends with a fault of memory, before the machine suffers [bytes].
MOST_DATA = 4_000_000_000


def options(arguments: list[str]) -> argparse.Namespace:
    """What was asked for on the command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--minutes", type=float, default=10.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--over", default="", help="kinds or parts, such as reader,form; all when not given")
    parser.add_argument("--findings", type=Path, default=Path("build") / "fuzz", help="folder of the findings")
    parser.add_argument("--again", type=Path, help="run the case of a finding again and show what it does")
    return parser.parse_args(arguments)


def main(arguments: list[str]) -> int:
    """Attack, or run one case again; 1 when something was found."""
    asked = options(arguments)
    faulthandler.enable()
    resource.setrlimit(resource.RLIMIT_DATA, (MOST_DATA, resource.getrlimit(resource.RLIMIT_DATA)[1]))
    with tempfile.TemporaryDirectory(prefix="gristwright-fuzz-") as name:
        own_temporary(Path(name) / "temporary")
        own_desk()
        from fuzz.parts import chosen

        if asked.again:
            return again(asked.again, Path(name))
        from fuzz.campaign import Campaign, slowest

        campaign = Campaign(chosen(asked.over), asked.seed, asked.findings.resolve(), told, Path(name))
        campaign.for_seconds(60.0 * asked.minutes)
        print(f"\nSeed {asked.seed}, {asked.minutes:g} minutes.")
        print("\n".join([*campaign.table(), "", *slowest(campaign.counts)]))
        if campaign.known:
            print("\n" + "\n".join(f"{name}\n  {path}" for name, path in campaign.known.items()))
        return 1 if campaign.known else 0


def told(text: str) -> None:
    """A line at once, wherever the output goes."""
    print(text, flush=True)


def own_temporary(folder: Path) -> None:
    """A folder for temporary files that nobody else writes into, for this process and those it starts."""
    folder.mkdir()
    os.environ["TMPDIR"] = str(folder)
    tempfile.tempdir = str(folder)


def own_desk() -> None:
    """The settings of the tests, and a database in memory with its tables."""
    os.environ["DJANGO_SETTINGS_MODULE"] = "desk_settings"
    import django
    from django.conf import settings
    from django.core.management import call_command

    django.setup()
    # The tables as they are now; how they came to be so is tested elsewhere.
    settings.MIGRATION_MODULES = {"store": None}
    call_command("migrate", verbosity=0, run_syncdb=True)
    logging.disable(logging.CRITICAL)


def again(path: Path, folder: Path) -> int:
    """Run the case of a finding again and show what it does."""
    from fuzz import findings
    from fuzz.parts import PARTS
    from fuzz.watch import watched

    name, case = findings.read(path)
    part = next(one for one in PARTS if one.name == name)
    place = folder / "case"
    place.mkdir()
    seen = watched(lambda: part.run(case, place), part.seconds)
    print(f"{part.name}: {seen.ended}, {seen.seconds:.2f} s, {seen.megabytes:.0f} MB")
    if seen.finding:
        print(f"{seen.finding.name}\n{seen.finding.what}\n\n{seen.finding.trace}")
    return 1 if seen.finding else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
