//! Spelling and grammar of all that people read, by a library: see `tests/prose/run.py`. What it finds is mended, or stands
//! in `tests/prose/words.txt` or, with its reason, in `tests/prose/refusals.txt`.

use super::python;

#[test]
fn spelling_and_grammar_have_no_fault_but_those_refused_with_reasons() {
    python::judge("prose", "a fault of spelling or grammar; BLESS=1 takes what is not needed out of the two lists");
}
