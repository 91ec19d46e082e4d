//! Independent reference libraries judge what the program makes: see `tests/oracles/run.py`. An oracle that is missing is a
//! failure, never a skip.

use super::python;

#[test]
fn independent_libraries_find_no_fault() {
    python::judge("oracles", "the oracles object");
}
