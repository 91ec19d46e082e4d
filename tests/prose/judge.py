"""What the library finds in passages, less what the project refuses to change, each with its reason."""

import re
from dataclasses import dataclass

from harper import Dialect, Language, Linter

SPELLING = "SpellCheck"
"""The library's rule of words that its dictionary has not."""

SPLIT = "SplitWords"
"""Its rule of such words that are two words of the dictionary."""

AMERICAN = {"analyze": "analyse", "gage": "gauge", "meter": "metre", "millimeter": "millimetre", "mold": "mould"}
AMERICAN |= {"molding": "moulding", "plow": "plough", "vise": "vice"}
"""American spellings that the library's British dictionary has too, and ours."""

AROUND = 60
"""How much of a passage a finding shows on either side, characters."""

PLANTED = {
    "An blade is clamped in the guide.": "AnA",
    "Clamp the the blade.": "RepeatedWords",
    "The colour is grey, the center is not.": SPELLING,
    "The fense is square to the edge.": SPELLING,
    "He have two rollers.": "PronounVerbAgreement",
    "Turn the plow over.": "British",
}
"""Sentences with a fault, and the rule that must find it: a checker that is silent about them is none."""


@dataclass
class Refusal:
    """Something that the library objects to and the project keeps."""

    line: str
    rule: str
    words: str
    reason: str
    is_used: bool = False

    def covers(self, rule, text, start, end):
        """Whether it is this that a rule found from `start` to `end` of a text: `*` is anything, `^` what begins it."""
        if rule != self.rule:
            return False
        if self.words in ("*", "^"):
            return self.words == "*" or not re.search(r"\w", text[:start])
        places = (place.span() for place in re.finditer(re.escape(self.words), text, re.IGNORECASE))
        return any(begin < end and start < stop for begin, stop in places)


class Judge:
    """The library, and the two lists of what is let pass."""

    def __init__(self, folder):
        self.linter = Linter(Dialect.BRITISH)
        self.folder = folder
        self.words = lines(folder / "words.txt")
        self.needed = set()
        self.refusals = [Refusal(line, *line.split(" | ")) for line in lines(folder / "refusals.txt")]
        self.rules = set(self.linter.get_lint_config())
        self.known = {}

    def findings(self, passages):
        """A line a finding: its place, its words, its rule and what the library says of it."""
        found = []
        for passage in passages:
            for rule, start, end, message in self.found_in(passage.text):
                if not self.lets_pass(rule, passage.text, start, end):
                    place, words = f"{passage.source}:{passage.line}", passage.text[start:end].strip()
                    around = passage.text[max(0, start - AROUND) : end + AROUND]
                    found.append(f"{place}: {words!r} in {around!r}: {rule}: {message}")
        return found

    def found_in(self, text):
        """What the library finds in a text, which is asked once: rule, start, end, message."""
        if text not in self.known:
            self.known[text] = [
                (rule, lint.span.start, lint.span.end, lint.message)
                for rule, lints in self.linter.organized_lints(text, language=Language.MARKDOWN).items()
                for lint in lints
            ] + [
                ("British", word.start(), word.end(), f"Here it is spelt {AMERICAN[word.group().lower()]!r}.")
                for word in re.finditer(r"\w+", text)
                if word.group().lower() in AMERICAN
            ]
        return self.known[text]

    def lets_pass(self, rule, text, start, end):
        """Whether a finding is allowed by one of the lists."""
        if rule in (SPELLING, SPLIT) and text[start:end].lower() in self.words_in_small:
            self.needed.add(text[start:end].lower())
            return True
        allowing = [refusal for refusal in self.refusals if refusal.covers(rule, text, start, end)]
        for refusal in allowing:
            refusal.is_used = True
        return bool(allowing)

    @property
    def words_in_small(self):
        """The words of the trade, small."""
        return {word.lower() for word in self.words}

    def planted(self):
        """Faults that the library or the lists let pass, though they were planted; asked first, as it counts no use."""
        passed = [
            f"the planted {text!r} was not found by {rule}"
            for text, rule in PLANTED.items()
            if not any(
                found == rule and not self.lets_pass(found, text, start, end)
                for found, start, end, _ in self.found_in(text)
            )
        ]
        for refusal in self.refusals:
            refusal.is_used = False
        return passed

    def unused(self):
        """Entries of the two lists that nothing needs, or that are out of order or without a reason."""
        stale = [f"words.txt: {word!r} is not needed" for word in self.words if word.lower() not in self.needed]
        if self.words != sorted(set(self.words), key=str.lower):
            stale.append("words.txt: the words are not sorted, or one stands twice")
        for refusal in self.refusals:
            named = f"refusals.txt: {refusal.rule} | {refusal.words}"
            if refusal.rule not in self.rules | {"British"}:
                stale.append(f"{named}: there is no such rule")
            elif not refusal.is_used:
                stale.append(f"{named}: is not needed")
            if len(refusal.reason.split()) < 3:
                stale.append(f"{named}: a reason is missing")
        return stale

    def prune(self):
        """Takes out of the two lists what nothing needs."""
        stale = {word for word in self.words if word.lower() not in self.needed}
        stale |= {refusal.line for refusal in self.refusals if not refusal.is_used}
        for name in ("words.txt", "refusals.txt"):
            path = self.folder / name
            kept = [line for line in path.read_text(encoding="utf-8").splitlines() if line not in stale]
            path.write_text("".join(f"{line}\n" for line in kept), encoding="utf-8")


def lines(path):
    """The lines of a list, without its comments."""
    return [line for line in path.read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")]
