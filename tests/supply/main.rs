//! What Stopwright is built from: who may be in it, from where, under which licence, and with which known faults.
//!
//!     cargo run -p stopwright-supply -- check      # says all that `policy.json` does not allow, and fails
//!     cargo run -p stopwright-supply -- notices    # writes src/notices.txt anew
//!     cargo run -p stopwright-supply -- outdated   # says which crates the snapshot of advisories does not know
//!
//! Every exception of `policy.json` must be needed: one that nothing asks for any more is a fault too.

mod notices;
mod policy;

use std::collections::{BTreeMap, BTreeSet};
use std::error::Error;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::{env, fs};

use cargo_metadata::{DependencyKind, Metadata, MetadataCommand, Package, PackageId};

use policy::{Policy, Snapshot};

/// The packages with locks of their own, in the project's folder.
const LOCKS: [&str; 3] = ["Cargo.toml", "src/page/wasm/Cargo.toml", "tests/fuzz/Cargo.toml"];

type Failed = Box<dyn Error>;

fn main() -> ExitCode {
    let done = match env::args().nth(1).as_deref() {
        Some("check") => check(),
        Some("notices") => write_notices(),
        Some("outdated") => outdated(),
        _ => Err("one of check, notices and outdated is to be said".into()),
    };
    match done {
        Ok(said) => {
            println!("{said}");
            ExitCode::SUCCESS
        }
        Err(why) => {
            eprintln!("error: {why}");
            ExitCode::FAILURE
        }
    }
}

/// The project's folder.
fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn beside(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

/// All that the locks hold, as the build tool sees it.
fn graphs() -> Result<Vec<Metadata>, Failed> {
    let of = |manifest: &&str| -> Result<Metadata, Failed> {
        Ok(MetadataCommand::new()
            .manifest_path(root().join(manifest))
            .other_options(vec!["--locked".to_string()])
            .exec()?)
    };
    LOCKS.iter().map(of).collect()
}

/// The packages of others, each version once.
fn others(graphs: &[Metadata]) -> BTreeMap<&PackageId, &Package> {
    graphs.iter().flat_map(|graph| &graph.packages).filter(|p| p.source.is_some()).map(|p| (&p.id, p)).collect()
}

/// Says all faults, or how much was looked at.
fn check() -> Result<String, Failed> {
    let (graphs, policy, snapshot) =
        (graphs()?, Policy::read(&beside("policy.json"))?, Snapshot::read(&beside("advisories.json"))?);
    let packages: Vec<&Package> = others(&graphs).into_values().collect();
    let mut faults = policy.licences(&packages);
    faults.extend(sources(&packages));
    faults.extend(policy.bans(&packages, &names_in_the_build(&graphs)));
    faults.extend(policy.duplicates(&packages));
    faults.extend(policy.advisories(&snapshot, &packages));
    let written = root().join("src/notices.txt");
    if fs::read_to_string(&written).ok().as_deref() != Some(notices::text(&graphs, &policy)?.as_str()) {
        faults.push("src/notices.txt is not what the locks ask for: cargo run -p stopwright-supply -- notices".into());
    }
    if faults.is_empty() {
        return Ok(format!(
            "{} crates: licences, sources, bans, duplicates, notices and {} advisories (read {}) are in order",
            packages.len(),
            snapshot.advisories.len(),
            snapshot.read
        ));
    }
    Err(faults.join("\nerror: ").into())
}

/// All crates come from the one registry that locks name.
fn sources(packages: &[&Package]) -> Vec<String> {
    let source = |package: &&Package| package.source.as_ref().map(|source| source.repr.clone()).unwrap_or_default();
    let all: BTreeSet<String> = packages.iter().map(source).collect();
    let strange = all.iter().filter(|source| !source.starts_with("registry+"));
    let mut faults: Vec<String> =
        strange.map(|source| format!("a crate is not from a registry but from {source}")).collect();
    if all.len() > 1 {
        faults.push(format!("crates come from {} registries", all.len()));
    }
    faults
}

/// The packages whose code is in the program, by following what is needed to run it and nothing else.
fn in_the_program(graphs: &[Metadata]) -> BTreeMap<&PackageId, &Package> {
    needed(graphs, &[DependencyKind::Normal])
}

/// What the program needs in these ways.
fn needed<'a>(graphs: &'a [Metadata], ways: &[DependencyKind]) -> BTreeMap<&'a PackageId, &'a Package> {
    let mut found = BTreeMap::new();
    // The fuzz targets are nobody's program.
    for graph in &graphs[..2] {
        let nodes: BTreeMap<&PackageId, _> =
            graph.resolve.iter().flat_map(|resolve| &resolve.nodes).map(|node| (&node.id, node)).collect();
        let mut left: Vec<&PackageId> = graph.resolve.iter().filter_map(|resolve| resolve.root.as_ref()).collect();
        let mut seen = BTreeSet::new();
        while let Some(id) = left.pop() {
            if !seen.insert(id) {
                continue;
            }
            let needs = nodes.get(id).into_iter().flat_map(|node| &node.deps);
            left.extend(needs.filter(|d| d.dep_kinds.iter().any(|k| ways.contains(&k.kind))).map(|d| &d.pkg));
        }
        let packages = graph.packages.iter().filter(|p| p.source.is_some() && seen.contains(&p.id));
        found.extend(packages.map(|package| (&package.id, package)));
    }
    found
}

/// What is needed to build and run the program, but for the tests.
fn names_in_the_build(graphs: &[Metadata]) -> BTreeSet<String> {
    let ways = [DependencyKind::Normal, DependencyKind::Build];
    needed(graphs, &ways).into_values().map(|package| package.name.to_string()).collect()
}

fn write_notices() -> Result<String, Failed> {
    let text = notices::text(&graphs()?, &Policy::read(&beside("policy.json"))?)?;
    fs::write(root().join("src/notices.txt"), &text)?;
    Ok(format!("src/notices.txt: {} bytes", text.len()))
}

/// The crates that nobody has looked up in the advisories.
fn outdated() -> Result<String, Failed> {
    let (graphs, snapshot) = (graphs()?, Snapshot::read(&beside("advisories.json"))?);
    let names: BTreeSet<&str> = others(&graphs).into_values().map(|package| package.name.as_str()).collect();
    let new: Vec<&str> = names.into_iter().filter(|name| !snapshot.crates_looked_up.contains(*name)).collect();
    Ok(format!("{} crates were not looked up on {}: {}", new.len(), snapshot.read, new.join(", ")))
}
