"""Counts what held and what did not, by check group."""

from collections import defaultdict
from functools import partial

SHOWN = 12
"""How many failures of a group are spelt out."""


class Report:
    """Results of checks; `about` names what is being checked and goes before every failure."""

    def __init__(self, about=""):
        self.about = about
        self.passed = defaultdict(int)
        self.failures = defaultdict(list)

    def expect(self, group, holds, what):
        """Counts one check of `group`; `what` says what was found should it not hold."""
        if holds:
            self.passed[group] += 1
        else:
            self.failures[group].append(f"{self.about}: {what}" if self.about else str(what))
        return bool(holds)

    def near(self, group, found, wanted, within, what):
        """Expects two numbers to differ by no more than `within`; not a number never does."""
        return self.expect(
            group,
            abs(found - wanted) <= within,
            f"{what}: {found!r}, expected {wanted!r} within {within:g}",
        )

    def equal(self, group, found, wanted, what):
        """Expects two things to be the same."""
        return self.expect(group, found == wanted, f"{what}: {found!r}, expected {wanted!r}")

    def of(self, group):
        """The same three expectations for one group."""
        return Expectations(self, group)

    def add(self, other):
        """Takes over the results of another report."""
        for group, count in other.passed.items():
            self.passed[group] += count
        for group, failures in other.failures.items():
            self.failures[group].extend(failures)

    def print(self, groups):
        """Prints a line a group and the total; says whether all held. A group that checked nothing has failed."""
        unknown = (set(self.passed) | set(self.failures)) - set(groups)
        assert not unknown, f"check groups without a description: {unknown}"
        passed = failed = 0
        for group, about in groups.items():
            failures = self.failures[group]
            if not failures and not self.passed[group]:
                failures = ["nothing was checked"]
            passed += self.passed[group]
            failed += len(failures)
            state = "FAILED" if failures else "ok"
            print(f"{state:<7}{group:<22}{self.passed[group]:>7} passed {len(failures):>5} failed   {about}")
            for failure in failures[:SHOWN]:
                print(f"          {failure}")
            if len(failures) > SHOWN:
                print(f"          and {len(failures) - SHOWN} more")
        print(f"{passed} passed, {failed} failed")
        return failed == 0


class Expectations:
    """What is expected within one check group."""

    def __init__(self, report, group):
        self.expect = partial(report.expect, group)
        self.near = partial(report.near, group)
        self.equal = partial(report.equal, group)
