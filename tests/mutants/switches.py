"""Puts many faults into one text, each behind a switch of its own: `crate::planted::on(7)`.

A fault is what `cargo mutants --list --json` says of it: a place and what stands there in its stead. Both ways stand in
the text, and the switch decides at run time, so that all faults are built at once.
"""

from dataclasses import dataclass

import tree_sitter_rust
from tree_sitter import Language, Parser

PARSER = Parser(Language(tree_sitter_rust.language()))
# What decides in a switched text which fault is on, and what tells which were passed on the way.
SWITCH = """//! Which planted fault is on, and which are reached.

use std::io::Write;
use std::sync::LazyLock;
use std::sync::atomic::{AtomicBool, Ordering};

static ON: LazyLock<usize> =
    LazyLock::new(|| std::env::var("PLANTED").ok().and_then(|text| text.parse().ok()).unwrap_or(0));
static TOLD: LazyLock<Option<String>> = LazyLock::new(|| std::env::var("PLANTED_TOLD").ok());
static REACHED: [AtomicBool; COUNT] = [const { AtomicBool::new(false) }; COUNT];

/// Whether a fault is on.
#[must_use]
pub fn on(number: usize) -> bool {
    if let Some(path) = &*TOLD
        && !REACHED[number].swap(true, Ordering::Relaxed)
    {
        let mut file = std::fs::OpenOptions::new().append(true).create(true).open(path).expect("a file to tell in");
        file.write_all(format!("{number}\\n").as_bytes()).expect("room to tell");
    }
    *ON == number
}
"""


@dataclass
class Switch:
    """What a fault adds to a text: something before and something after a range of bytes."""

    number: int
    start: int
    end: int
    before: str
    after: str


def is_constant(node):
    """Whether it is worked out while building, where nothing can be switched."""
    while node:
        if node.type in ("const_item", "static_item", "array_type"):
            return True
        if node.type == "function_item":
            return any(c.type == "function_modifiers" and b"const" in c.text for c in node.children)
        node = node.parent
    return False


def switch(tree, text, number, mutant):
    """A fault as a switch; None where it cannot be one."""
    lines = text.split(b"\n")

    def place(at):
        line, column = mutant["span"][at]["line"] - 1, mutant["span"][at]["column"] - 1
        before = lines[line].decode()[:column]
        return sum(len(line) + 1 for line in lines[:line]) + len(before.encode())

    start, end = place("start"), place("end")
    new, on = mutant["replacement"], f"crate::planted::on({number})"
    node = tree.root_node.descendant_for_byte_range(start, end)
    if is_constant(node):
        return None
    match mutant["genre"]:
        case "FnValue":
            while node and node.type != "block":
                node = node.parent
            # An opaque type is one type, and a fault has another.
            result = node.parent.child_by_field_name("return_type")
            if result and b"impl " in result.text:
                return None
            at = node.start_byte + 1
            return Switch(number, at, at, f" if {on} {{ return {new}; }} ", "")
        case "BinaryOperator" | "UnaryOperator":
            whole = node.parent
            if whole.type not in ("binary_expression", "compound_assignment_expr", "unary_expression"):
                return None
            if b"let " in whole.text:
                return None
            a, b = whole.start_byte, whole.end_byte
            planted = (text[a:start] + new.encode() + text[end:b]).decode()
            return Switch(number, a, b, f"(if {on} {{ {planted} }} else {{ ", " })")
        case "MatchArmGuard":
            return Switch(number, start, end, f"(if {on} {{ {new} }} else {{ ", " })")
        case "MatchArm":
            while node and node.type != "match_arm":
                node = node.parent
            pattern = node.child_by_field_name("pattern")
            guard = pattern.child_by_field_name("condition")
            if guard:
                return Switch(number, guard.start_byte, guard.end_byte, f"!{on} && (", ")")
            return Switch(number, pattern.end_byte, pattern.end_byte, f" if !{on}", "")
    return None


def switched(text, mutants):
    """A file's text with its faults behind switches, and the ranges of bytes that each of them has in it.

    `mutants` are pairs of a number and a fault; those that cannot be switched have no range.
    """
    raw = text.encode()
    tree = PARSER.parse(raw)
    switches = [made for number, mutant in mutants if (made := switch(tree, raw, number, mutant))]
    # Outer ones open first and close last.
    opened = sorted(switches, key=lambda s: (s.start, -s.end))
    edits = [(s.start, 1, at, s.before, s.number) for at, s in enumerate(opened)]
    edits += [(s.end, 0, -at, s.after, s.number) for at, s in enumerate(opened) if s.after]
    out, done, ranges = b"", 0, {}
    for place, _, _, words, number in sorted(edits):
        out += raw[done:place]
        done = place
        ranges.setdefault(number, [len(out), 0])
        out += words.encode()
        ranges[number][1] = len(out)
    return (out + raw[done:]).decode(), ranges
