//! The notices that must go with the program: of the crates whose code is in it, and of the font that it letters with.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use cargo_metadata::{Metadata, Package};

use crate::policy::Policy;
use crate::{Failed, in_the_program};

/// The crate that the font is from, and where its licence lies in it.
const FONT: (&str, &str) = ("dejavu", "assets/dejavu-fonts-ttf-2.37/LICENSE");

const RULE: &str = "================================================================================";

/// All notices as one text.
pub fn text(graphs: &[Metadata], policy: &Policy) -> Result<String, Failed> {
    let packages: Vec<&Package> = in_the_program(graphs).into_values().collect();
    let mut list = String::new();
    // Texts that are alike but for their line breaks are one; by the text, the crates that it is of.
    let mut texts: BTreeMap<String, (String, Vec<String>)> = BTreeMap::new();
    let mut sorted = packages.clone();
    sorted.sort_by_key(|package| (package.name.to_string(), package.version.clone()));
    sorted.dedup_by_key(|package| (package.name.to_string(), package.version.clone()));
    for package in sorted {
        let said = package.license.as_deref().unwrap_or_default();
        let chosen = policy.licences.get(said).ok_or_else(|| format!("{}: {said} is not allowed", package.name))?;
        let name = format!("{} {}", package.name, package.version);
        list += &format!("{name}: {chosen}\n");
        for text in texts_of(package, chosen, policy)? {
            let key = text.split_whitespace().collect::<Vec<_>>().join(" ");
            texts.entry(key).or_insert_with(|| (text, Vec::new())).1.push(name.clone());
        }
    }
    let font =
        packages.iter().find(|package| package.name.as_str() == FONT.0).ok_or("the font's crate is not there")?;
    let mut out = format!(
        "Stopwright is made with the work of others. Each part is under the licence that\n\
         is named with it; the texts of the licences follow.\n\n{list}\n{RULE}\nOf the font of drawings, blocks and \
         pages, DejaVu Sans Condensed, parts of\nwhich are in every PDF:\n\n{}\n",
        tidy(&read(&folder(font)?.join(FONT.1))?)
    );
    let mut texts: Vec<(String, Vec<String>)> = texts.into_values().collect();
    texts.sort_by(|a, b| a.1.cmp(&b.1));
    for (text, names) in texts {
        out += &format!("{RULE}\nOf {}:\n\n{text}\n", names.join(", "));
    }
    Ok(out)
}

fn folder(package: &Package) -> Result<&Path, Failed> {
    Ok(package.manifest_path.parent().ok_or("a package without a folder")?.as_std_path())
}

fn read(path: &Path) -> Result<String, Failed> {
    fs::read_to_string(path).map_err(|e| format!("{}: {e}", path.display()).into())
}

/// Without marks of order, blanks at the ends of lines and empty lines around.
fn tidy(text: &str) -> String {
    let lines: Vec<&str> = text.trim_start_matches('\u{feff}').lines().map(str::trim_end).collect();
    lines.join("\n").trim_matches('\n').to_string() + "\n"
}

/// Files of a package's top folder whose names begin so, in capitals or not.
fn files(package: &Package, begins: &[&str]) -> Result<Vec<(String, String)>, Failed> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder(package)?)? {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().to_uppercase();
        if entry.file_type()?.is_file() && begins.iter().any(|begin| name.starts_with(begin)) {
            found.push((name, tidy(&read(&entry.path())?)));
        }
    }
    found.sort();
    Ok(found)
}

/// The texts that must go with a package which is taken under the `chosen` licences.
fn texts_of(package: &Package, chosen: &str, policy: &Policy) -> Result<Vec<String>, Failed> {
    let licences = files(package, &["LICENSE", "LICENCE", "COPYING"])?;
    let mut texts: Vec<String> = files(package, &["NOTICE"])?.into_iter().map(|(_, text)| text).collect();
    for licence in chosen.split(" AND ") {
        let sign = match licence {
            // One text for all: the licence has a single one.
            "Apache-2.0" => {
                texts.push(tidy(&read(&crate::beside("Apache-2.0.txt"))?));
                continue;
            }
            "Unicode-3.0" => "UNICODE",
            "MIT" => "MIT",
            other => other,
        };
        let own =
            licences.iter().find(|(name, _)| name.contains(sign)).or(licences.first().filter(|_| licences.len() == 1));
        let rights = policy.rights.get(package.name.as_str());
        match (own, rights) {
            (Some((_, text)), _) => texts.push(text.clone()),
            (None, Some(rights)) => {
                let standard = read(&crate::beside(&format!("{licence}.txt")))?;
                texts.push(tidy(&format!("{rights}\n\n{standard}")));
            }
            (None, None) => {
                return Err(format!(
                    "{} has no text of {licence}; say in policy.json, rights, whose it is",
                    package.name
                )
                .into());
            }
        }
    }
    Ok(texts)
}
