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
            for found in workers.map(checks.of_job, all_made, parts):
                report.add(found)
            for found in workers.map(cutsheet.of_job, jigs):
                report.add(found)
            sheets.gather(wanted, drawn, report)
            for found in tampered:
                report.add(found.result())
        checks.attempt(views.check, report, program, folder)
        report.about = ""
        checks.attempt(schema.check, report, program, [(m.name, m.job) for m in all_made], folder)
        checks.attempt(gauges.check, report, program, folder)
        checks.attempt(kits.check, report, program, folder)
        if whole:
            checks.attempt(selftest.check, report, all_made)
            checks.attempt(gauges.tampered, report, program, folder)
            checks.attempt(kits.tampered, report, program, folder)
        checks.attempt(classes.check, report, program, folder)
        checks.attempt(index_page.check_all, report, program, folder, all_made)
        for name, agrees, detail in fit.checks(binary):
            report.expect("fit", agrees, f"{name}: {detail}")
        for group, name, agrees, detail in sharpening.checks(binary):
            report.expect(group, agrees, f"{name}: {detail}")
    print(f"{len(all_made) + len(jigs)} jobs made and judged in {time.monotonic() - begun:.0f} s")
    groups = [m.GROUPS for m in (checks, cutsheet, fit, sharpening, gauges, kits, classes, index_page, sheets)]
    groups += [classes.SELF, index_page.SELF, *([selftest.GROUPS, gauges.SELF, kits.SELF] if whole else [])]
    return report.print({name: what for group in groups for name, what in group.items()})


if __name__ == "__main__":
    sys.exit(0 if main() else 1)
