//! What is allowed, and what known faults mean here.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use cargo_metadata::Package;
use semver::VersionReq;
use serde::Deserialize;

use crate::Failed;

/// What is allowed.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Policy {
    /// Under which licence a crate is taken that offers several: by what it says of itself.
    pub licences: BTreeMap<String, String>,
    /// Crates that must not be part of the program, and why.
    banned: BTreeMap<String, String>,
    /// Crates that may be there in several versions, and why.
    duplicates: BTreeMap<String, String>,
    /// Crates that say that they link something and link nothing, and why they do.
    links: BTreeMap<String, String>,
    /// Known faults that do not touch us, by their names.
    accepted: BTreeMap<String, Accepted>,
    /// Who holds the rights in crates whose packages hold no text of their licence.
    pub rights: BTreeMap<String, String>,
}

/// Why a known fault is lived with.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Accepted {
    #[allow(dead_code, reason = "said for who reads the file")]
    why: String,
    /// A function that nobody who uses the crate may name, if that is the reason.
    not_called: Option<String>,
}

/// What was known of faults on a day.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Snapshot {
    /// Where it was read.
    #[allow(dead_code, reason = "said for who reads the file")]
    source: String,
    /// The day, as year-month-day.
    pub read: String,
    /// All crates that were looked for.
    pub crates_looked_up: BTreeSet<String>,
    /// Those that nothing was answered of.
    not_answered: BTreeSet<String>,
    /// What was found.
    pub advisories: Vec<Advisory>,
}

/// A known fault of some versions of a crate.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Advisory {
    package: String,
    id: String,
    #[allow(dead_code, reason = "said for who reads the file")]
    date: String,
    kind: String,
    withdrawn: Option<String>,
    title: String,
    /// Versions without it.
    patched: Vec<VersionReq>,
    unaffected: Vec<VersionReq>,
}

impl Snapshot {
    pub fn read(path: &Path) -> Result<Self, Failed> {
        Ok(serde_json::from_str(&fs::read_to_string(path)?).map_err(|e| format!("{}: {e}", path.display()))?)
    }
}

impl Advisory {
    fn touches(&self, package: &Package) -> bool {
        let without = self.patched.iter().chain(&self.unaffected).any(|req| req.matches(&package.version));
        self.withdrawn.is_none() && package.name.as_str() == self.package && !without
    }
}

fn licence(package: &Package) -> &str {
    package.license.as_deref().unwrap_or("no licence")
}

impl Policy {
    pub fn read(path: &Path) -> Result<Self, Failed> {
        Ok(serde_json::from_str(&fs::read_to_string(path)?).map_err(|e| format!("{}: {e}", path.display()))?)
    }

    pub fn licences(&self, packages: &[&Package]) -> Vec<String> {
        let unknown = packages.iter().filter(|package| !self.licences.contains_key(licence(package)));
        let mut faults: Vec<String> = unknown
            .map(|p| format!("{} {} is under {}, which nobody allowed", p.name, p.version, licence(p)))
            .collect();
        let used: BTreeSet<&str> = packages.iter().map(|package| licence(package)).collect();
        faults.extend(unneeded("licences", self.licences.keys(), |name| used.contains(name)));
        faults
    }

    pub fn bans(&self, packages: &[&Package], build: &BTreeSet<String>) -> Vec<String> {
        let linked = packages.iter().filter(|p| build.contains(p.name.as_str()) && p.links.is_some());
        let names: BTreeSet<&str> = linked.map(|package| package.name.as_str()).collect();
        let unknown = names.iter().filter(|name| !self.links.contains_key(**name));
        let mut faults: Vec<String> = unknown.map(|name| format!("{name} links a library that is not Rust")).collect();
        faults.extend(unneeded("links", self.links.keys(), |name| names.contains(name)));
        let banned = self.banned.iter().filter(|(name, _)| build.contains(*name));
        faults.extend(banned.map(|(name, why)| format!("{name} is part of the build: {why}")));
        faults
    }

    pub fn duplicates(&self, packages: &[&Package]) -> Vec<String> {
        let mut versions: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
        for package in packages {
            versions.entry(package.name.as_str()).or_default().insert(package.version.to_string());
        }
        versions.retain(|_, all| all.len() > 1);
        let unknown = versions.iter().filter(|(name, _)| !self.duplicates.contains_key(**name));
        let mut faults: Vec<String> = unknown
            .map(|(name, all)| {
                format!("{name} is there in several versions: {}", all.iter().cloned().collect::<Vec<_>>().join(", "))
            })
            .collect();
        faults.extend(unneeded("duplicates", self.duplicates.keys(), |name| versions.contains_key(name)));
        faults
    }

    pub fn advisories(&self, snapshot: &Snapshot, packages: &[&Package]) -> Vec<String> {
        let mut faults = Vec::new();
        let names: BTreeSet<&str> = packages.iter().map(|package| package.name.as_str()).collect();
        for name in names {
            if !snapshot.crates_looked_up.contains(name) || snapshot.not_answered.contains(name) {
                faults.push(format!("{name} was not looked up in the advisories of {}", snapshot.read));
            }
        }
        let touching = |advisory: &&Advisory| packages.iter().any(|package| advisory.touches(package));
        let open: BTreeMap<&str, &Advisory> =
            snapshot.advisories.iter().filter(touching).map(|advisory| (advisory.id.as_str(), advisory)).collect();
        for (id, advisory) in &open {
            if !self.accepted.contains_key(*id) {
                faults.push(format!("{id}: {}, {}: {}", advisory.package, advisory.kind, advisory.title));
            }
        }
        faults.extend(unneeded("accepted", self.accepted.keys(), |id| open.contains_key(id)));
        let calls = self.accepted.iter().filter_map(|(id, a)| Some((open.get(id.as_str())?, a.not_called.as_deref()?)));
        for (advisory, name) in calls {
            let users = packages.iter().filter(|p| p.dependencies.iter().any(|d| d.name == advisory.package));
            let folders = users.filter_map(|p| p.manifest_path.parent()).map(|p| p.as_std_path().join("src"));
            for folder in folders.chain([crate::root().join("src")]) {
                match naming(&folder, name) {
                    Ok(files) => faults.extend(files.iter().map(|f| format!("{}: {name} in {f}", advisory.id))),
                    Err(e) => faults.push(format!("{}: {e}", folder.display())),
                }
            }
        }
        faults
    }
}

/// Entries that nothing asks for.
fn unneeded<'a>(
    list: &str,
    entries: impl Iterator<Item = &'a String>,
    is_needed: impl Fn(&str) -> bool,
) -> Vec<String> {
    entries
        .filter(|entry| !is_needed(entry))
        .map(|entry| format!("policy.json, {list}: nothing needs {entry}"))
        .collect()
}

/// The Rust files below `folder` in which a word stands.
fn naming(folder: &Path, word: &str) -> std::io::Result<Vec<String>> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            found.extend(naming(&path, word)?);
        } else if path.extension().is_some_and(|end| end == "rs") && fs::read_to_string(&path)?.contains(word) {
            found.push(path.display().to_string());
        }
    }
    Ok(found)
}
