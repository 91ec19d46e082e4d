//! The profiles and their schemas.

use serde_json::Value;

use super::support::{home, stdout};
use stopwright::guide::named::{GUIDES, NoFiles, TOOLS, guide, tool};
use stopwright::profile::measured::{CorrectionsFile, MeasuredFile};
use stopwright::profile::{FitFile, GuideProfile, JobFile, KitFile, LogFile, TestPieceFile, ToolProfile, schema_of};
use stopwright::terms::{Arrangement, Locates, SeatName};

/// The published schemas are the ones the program checks with. `BLESS=1` writes them anew, and still fails.
#[test]
fn the_published_schemas_are_current() {
    let current = [
        ("guide", schema_of::<GuideProfile>()),
        ("tool", schema_of::<ToolProfile>()),
        ("job", schema_of::<JobFile>()),
        ("measured", schema_of::<MeasuredFile>()),
        ("corrections", schema_of::<CorrectionsFile>()),
        ("fit", schema_of::<FitFile>()),
        ("testpiece", schema_of::<TestPieceFile>()),
        ("kit", schema_of::<KitFile>()),
        ("log", schema_of::<LogFile>()),
    ];
    let mut stale = Vec::new();
    for (name, schema) in current {
        let path = home().join(format!("profiles/schema/{name}.schema.json"));
        let text = format!("{schema:#}\n");
        if std::fs::read_to_string(&path).unwrap_or_default() != text {
            if std::env::var_os("BLESS").is_some() {
                std::fs::write(&path, &text).unwrap();
            }
            stale.push(path);
        }
        assert_eq!(stdout(&["profiles", "--schema", name]), text);
    }
    assert!(stale.is_empty(), "not current, run once with BLESS=1: {stale:?}");
}

/// The families that users' guides fall into (common practice, no source).
#[test]
fn the_guide_families_are_there() {
    let all: Vec<_> = GUIDES.iter().map(|b| guide(b.name, &NoFiles).unwrap()).collect();
    let any = |f: &dyn Fn(&stopwright::guide::Guide) -> bool| all.iter().any(f);
    assert!(all.len() >= 5);
    assert!(any(&|g| g.seats().count() == 2 && g.roller.width.is_some_and(|w| w.mm < 12.0)));
    assert!(any(&|g| g.roller.width.is_some_and(|w| w.mm > 40.0)
        && g.seats().any(|(n, s)| n == SeatName::Chisel && s.locates == Locates::Sides)));
    assert!(any(&|g| g.seats().any(|(_, s)| s.locates == Locates::Back)));
    assert!(any(&|g| g.notes.as_ref().is_some_and(|n| n.contains("bench below the stone"))));
    assert!(any(&|g| g.units.symbol() == "in" && g.roller.arrangement == Some(Arrangement::Pair)));
}

#[test]
fn every_built_in_profile_is_printed_as_it_is_kept_and_can_be_read_back() {
    let folder = tempfile::tempdir().unwrap();
    for b in GUIDES.iter().chain(TOOLS) {
        let text = stdout(&["profiles", b.name]);
        assert_eq!(text, b.text);
        std::fs::write(folder.path().join(format!("{}.json", b.name)), text).unwrap();
    }
    let own = folder.path().join("top-clamp.json").display().to_string();
    let iron = folder.path().join("plane-iron.json").display().to_string();
    assert_eq!(
        stdout(&["offsets", &own, "--tool", &iron, "--json"]),
        stdout(&["offsets", "top-clamp", "--tool", "plane-iron", "--json"])
    );
    let list: Value = serde_json::from_str(&stdout(&["profiles", "--json"])).unwrap();
    assert_eq!(list["guides"].as_array().unwrap().len(), GUIDES.len());
    assert_eq!(list["tools"].as_array().unwrap().len(), TOOLS.len());
    for b in TOOLS {
        assert!(tool(b.name, &NoFiles).is_ok());
    }
}
