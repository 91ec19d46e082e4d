//! The sheet to print.

use std::fs;

use crate::support::{run, stdout};
use stopwright::drawing::paper::Paper;
use stopwright::drawing::{Mark, clash};
use stopwright::measure::{sheet, table};
use stopwright::terms::PaperSize;

#[test]
fn the_sheet_is_clear_on_both_papers_and_has_every_letter() {
    for size in [PaperSize::A4, PaperSize::Letter] {
        let sheet = sheet::sheet(size);
        assert_eq!(clash::find(&sheet), [], "{size:?}");
        let texts: Vec<_> = sheet
            .groups
            .iter()
            .flat_map(|g| g.marks.iter().filter_map(move |m| if let Mark::Text(t) = m { Some((g, t)) } else { None }))
            .collect();
        assert!(texts.iter().all(|(_, t)| t.height >= 2.5));
        assert!(texts.iter().filter(|(g, _)| g.class == "dimension").all(|(_, t)| t.height >= 3.5));
        for question in table::QUESTIONS.iter().filter(|q| !q.symbol.is_empty()) {
            let in_table = |s: &str| s.split([',', ' ']).any(|part| part == question.symbol);
            assert!(texts.iter().any(|(g, t)| g.class == "table-row" && in_table(&t.words)), "{}", question.symbol);
        }
        let mut ids: Vec<&String> = sheet.groups.iter().map(|g| &g.id).collect();
        ids.sort();
        ids.dedup();
        assert_eq!(ids.len(), sheet.groups.len(), "ids are unique");
    }
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().display().to_string();
    let said = stdout(&["measure", "--sheet", "--paper", "Letter", "--out", &out]);
    assert!(said.contains("measure-sheet.svg"));
    let svg = fs::read_to_string(folder.path().join("measure-sheet.svg")).unwrap();
    let (w, h): (f64, f64) = Paper::sheet(PaperSize::Letter, false).extent().into();
    assert!(svg.contains(&format!("width=\"{w}mm\"")) && svg.contains(&format!("height=\"{h}mm\"")), "{w} {h}");
    assert!(run(&["measure", "--paper", "A4"]).status.code() == Some(2), "--paper is for the sheet");
}
