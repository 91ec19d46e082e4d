"""Outside oracles: makes jobs with the program and has independent reference libraries judge what comes out.

    python run.py PATH_OF_BINARY        (or the variable STOPWRIGHT)

With the variable ORACLES=whole, as `.ci/run` has it, three times as many jobs have all their sheets judged, and files
are tampered with to see that each check objects.

Prints a line a check group, its failures, and `N passed, N failed`. Exit code 0 only if everything held.
"""

import os
import sys
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

try:
    import checks
    import classes
    import cutsheet
    import cutsheet_jobs
    import cutsheet_selftest
    import fit
    import gauges
    import index_page
    import jobs
    import kits
    import schema
    import selftest
    import sharpening
    import sheets
    import sheets_jobs
    import sheets_selftest
    import views
    from program import Program
    from report import Report
except ImportError as missing:
    sys.exit(f"an oracle's library is missing: {missing}")


def others(program, folder, all_made, whole):
    """The checks that look at more than one job, or make files of their own: each, and what it is given."""
    yield views.check, program, folder
    yield schema.check, program, [(made.name, made.job) for made in all_made], folder
    yield gauges.check, program, folder
    yield kits.check, program, folder
    yield classes.check, program, folder
    yield index_page.check_all, program, folder, index_page.chosen(all_made)
    yield fit.check, program
    yield sharpening.check, program
    if whole:
        yield selftest.check, selftest.models(all_made)
        yield gauges.tampered, program, folder
        yield kits.tampered, program, folder


def alone(check, *given):
    """The results of one of them."""
    report = Report()
    checks.attempt(check, report, *given)
    return report


def main():
    """Makes, checks, reports; says whether all held."""
    binary = sys.argv[1] if len(sys.argv) > 1 else os.environ.get("STOPWRIGHT")
    if not binary or not Path(binary).is_file():
        sys.exit("run.py: the program to judge is given as an argument or in STOPWRIGHT")
    whole = os.environ.get("ORACLES") == "whole"
    begun = time.monotonic()
    program, report = Program(binary), Report()
    with tempfile.TemporaryDirectory(prefix="stopwright-oracles-") as name:
        folder = Path(name)
        all_made = jobs.make_all(program, folder, report)
        jigs = cutsheet_jobs.make_all(program, folder, report)
        with ProcessPoolExecutor() as workers:
            tampered = [workers.submit(cutsheet_selftest.of_jigs, jigs)] if whole else []
            parts = [checks.parts_for(made, index) for index, made in enumerate(all_made)]
            wanted = sheets_jobs.wanted(whole)
            drawn = [workers.submit(sheets.of_job, binary, folder, *one) for one in wanted]
            tampered += [workers.submit(sheets_selftest.of_all, binary, folder)] if whole else []
            rest = [workers.submit(alone, *one) for one in others(program, folder, all_made, whole)]
            for found in workers.map(checks.of_job, all_made, parts):
                report.add(found)
            for found in workers.map(cutsheet.of_job, jigs):
                report.add(found)
            sheets.gather(wanted, drawn, report)
            for found in tampered + rest:
                report.add(found.result())
    print(f"{len(all_made) + len(jigs)} jobs made and judged in {time.monotonic() - begun:.0f} s")
    groups = [m.GROUPS for m in (checks, cutsheet, fit, sharpening, gauges, kits, classes, index_page, sheets)]
    groups += [classes.SELF, index_page.SELF, *([selftest.GROUPS, gauges.SELF, kits.SELF] if whole else [])]
    return report.print({name: what for group in groups for name, what in group.items()})


if __name__ == "__main__":
    sys.exit(0 if main() else 1)
