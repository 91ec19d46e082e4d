"""What disks, systems and other runs can do to the program, by script and in numbers.

    python3 tests/faults/run.py target/release/stopwright
    ... --kills 100          fewer random moments to kill at; 1,000 where it is not said
    ... --seed 7             other random moments
    ... --only log,disk      the faults whose names have one of these in them

A line a fault: what was done, and what was found. It ends with 1 where anything was found, with 2 where nothing was but
a fault could not be tried on this machine, and else with 0. It takes Linux, root, `strace`, `unshare`, `chattr` and
`mkfs.ext4`; of Python the standard library only. All is done in a temporary folder, which goes.
"""

import argparse
import sys
import time

import calls
import crowds
import disks
import kills
import limits
import links
from program import DoesNotEnd, NotRun, Program

FAULTS = [
    disks.full_disk, disks.full_disk_log, disks.read_only, disks.fixed_files, disks.sticky_folder, limits.limits,
    kills.kills_in_make, kills.kills_in_batches, kills.kills_in_log,
    crowds.eight_in_one_folder, crowds.fifty_lines_at_once, crowds.who_holds_the_lock,
    calls.order_of_writing, calls.each_call_fails, calls.no_way_back, calls.kills_at_each_call,
    links.folder_becomes_a_link, links.log_becomes_anothers,
]
# Of what was found, so many are told.
TOLD = 8


def tried(fault, program):
    """One fault: a line of what was done and found, and more where something was; what became of it."""
    start, name = time.monotonic(), fault.__name__.replace("_", " ")
    try:
        outcome = fault(program)
        done, found = outcome.done, outcome.found
    except NotRun as why:
        print(f"{name}: not run, as {why}", flush=True)
        return "not run"
    except DoesNotEnd as what:
        done, found = "stopped", [str(what)]
    seconds = time.monotonic() - start
    print(f"{name}: {done}. Found: {len(found) or 'nothing'}. {seconds:.0f} s", flush=True)
    for fault in found[:TOLD]:
        print(f"    {fault}")
    if len(found) > TOLD:
        print(f"    and {len(found) - TOLD} more")
    return "found" if found else "passed"


def main():
    """All faults, or those that were named."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("binary")
    parser.add_argument("--kills", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="")
    arguments = parser.parse_args()
    words, start = arguments.only.replace(" ", "_").split(","), time.monotonic()
    faults = [fault for fault in FAULTS if any(word in fault.__name__ for word in words)]
    program = Program(arguments.binary, arguments.kills, arguments.seed)
    try:
        ends = [tried(fault, program) for fault in faults]
    finally:
        program.remove()
    counts = {end: ends.count(end) for end in ("passed", "found", "not run")}
    print(", ".join(f"{count} {end}" for end, count in counts.items()) + f", in {time.monotonic() - start:.0f} s")
    sys.exit(1 if counts["found"] else 2 if counts["not run"] else 0)


if __name__ == "__main__":
    main()
