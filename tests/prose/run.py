"""Has a library check the spelling and grammar of all that the program and its documents say.

    python run.py PATH_OF_BINARY

Every finding is printed with its place, its words and its rule. Exit code 0 only if there is none but what `words.txt`
and `refusals.txt` allow, and everything in those two is needed. BLESS=1 takes out of them what is not, and still fails.
"""

import os
import sys
import tempfile
from pathlib import Path

import judge
import texts


def main():
    """Gathers, checks and tells."""
    if len(sys.argv) != 2:
        sys.exit("run.py: the program to judge is given as an argument")
    checker = judge.Judge(Path(__file__).parent)
    with tempfile.TemporaryDirectory(prefix="stopwright-prose-") as name:
        said, failed = texts.gather(sys.argv[1], Path(name))
    faults = failed + checker.planted() + checker.findings(said) + checker.unused()
    if os.environ.get("BLESS"):
        checker.prune()
    for fault in faults:
        print(fault)
    print(f"{len(said)} passages, {len(faults)} faults")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
