//! README.md, DEVELOPERS.md and the stories in `examples/*.md` against the program.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use super::support::{home, program, run};

mod page;
mod pictures;
mod shell;

use page::Page;

/// The longest line of a document, and of an output that it shows.
const COLUMNS: usize = 120;
const OUTPUT_COLUMNS: usize = 80;

/// Commands at the head of the README: all that a fresh machine with Rust needs.
const FIRST_COMMANDS: [&str; 2] = ["cargo run --release -- make examples/tool-chest.json", "cargo test --release"];

/// The documents for those who use the program: the README, and the stories beside the examples.
fn for_users() -> Vec<String> {
    let mut stories: Vec<String> = fs::read_dir(home().join("examples"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.ends_with(".md"))
        .map(|name| format!("examples/{name}"))
        .collect();
    stories.sort();
    stories.insert(0, "README.md".to_string());
    stories
}

/// All documents.
fn all() -> Vec<String> {
    for_users().into_iter().chain(["DEVELOPERS.md".to_string()]).collect()
}

fn text_of(name: &str) -> String {
    fs::read_to_string(home().join(name)).unwrap()
}

/// Every output, file and excerpt that a document shows is the program's or the project's own, and every command that it
/// tells the reader to type works. `BLESS=1` makes the outputs anew, and still fails.
#[test]
fn documents_are_true() {
    let bless = std::env::var_os("BLESS").is_some();
    let (mut faults, mut commands) = (Vec::new(), 0);
    for name in all() {
        let folder = tempfile::tempdir().unwrap();
        for sub in ["examples", "profiles"] {
            copy(&home().join(sub), &folder.path().join(sub));
        }
        let text = text_of(&name);
        let page = Page::read(&text, folder.path());
        commands += page.typed.len();
        if page.made != text {
            faults.push(format!("{name} is not current: run once with BLESS=1"));
            if bless {
                fs::write(home().join(&name), &page.made).unwrap();
            }
        }
        faults.extend(page.faults.into_iter().map(|fault| format!("{name}: {fault}")));
    }
    assert!(faults.is_empty(), "\n{}\n", faults.join("\n"));
    assert!(commands >= 30, "only {commands} commands found");
}

/// The message that a story quotes is what the program says.
#[test]
fn quoted_message_is_the_programs() {
    let story = text_of("examples/first-block.md");
    let quoted = story.split('`').find(|code| code.starts_with("job.json:")).expect("a message is quoted");
    let folder = tempfile::tempdir().unwrap();
    let job = text_of("examples/tool-chest.json").replace("\"mm\"", "\"feet\"");
    fs::write(folder.path().join("job.json"), job).unwrap();
    let output = program().current_dir(folder.path()).args(["make", "job.json"]).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.lines().any(|line| line == quoted), "{quoted}\n{said}");
}

/// What is wrong in a document is found.
#[test]
fn faults_of_a_document_are_told() {
    let folder = tempfile::tempdir().unwrap();
    copy(&home().join("examples"), &folder.path().join("examples"));
    let angle = "stopwright angle --thickness 3.1 --bevel-length 6.2";
    let shown =
        |before: &str, comment: &str| format!("{before}\n```sh\n{angle}\n```\n<!-- {comment} -->\n```text\n```\n");
    let wide = "wide ".repeat(25);
    let faulty = [
        ("```sh\nstopwright angel\n```\n".to_string(), "stopwright angel: "),
        ("```sh\nrm -r /\n```\n".to_string(), "not a command of this program"),
        ("```text\nas if\n```\n".to_string(), "does not say what makes it"),
        ("<!-- stopwright profiles -->\n```text\n```\n".to_string(), "no such command stands before it"),
        (shown("An excerpt:", &format!("{angle}, from \"40\"")), "no line begins"),
        (shown("All of it:", &format!("{angle}, from \"30\"")), "does not call it an excerpt"),
        ("<!-- in examples/tool-chest.json -->\n```json\n\"units\": \"feet\"\n```\n".to_string(), "is not taken"),
        ("Say `\"tolerence\": 0.5`.\n".to_string(), "is not taken"),
        ("Type `stopwright make --fsat`.\n".to_string(), "no flag --fsat"),
        ("Or `--fsat`.\n".to_string(), "no such flag"),
        (format!("{wide}\n"), "longer than 120"),
    ];
    for (text, fault) in faulty {
        let found = Page::read(&text, folder.path()).faults;
        assert!(found.len() == 1 && found[0].contains(fault), "{text}{found:?}");
    }
    let made = Page::read(&shown("An excerpt:", &format!("{angle}, from \"30\"")), folder.path());
    assert!(made.faults.is_empty() && made.made.contains("```text\n30.0°"), "{}", made.made);
}

/// The picture of the page, which a browser makes of the program's: `tests/page/picture.mjs`.
const OF_A_BROWSER: &str = "page.png";

/// The pictures are the program's, and each is shown somewhere. `BLESS=1` makes them anew, and still fails.
#[test]
fn pictures_are_the_programs() {
    let bless = std::env::var_os("BLESS").is_some();
    let folder = home().join("examples/pictures");
    let kept: BTreeSet<String> =
        fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    let made = pictures::made();
    let mut faults = Vec::new();
    for (name, bytes) in &made {
        if fs::read(folder.join(name)).unwrap_or_default() != *bytes {
            faults.push(format!("{name} is not current: run once with BLESS=1"));
            if bless {
                fs::write(folder.join(name), bytes).unwrap();
            }
        }
    }
    let names: BTreeSet<String> = made.into_iter().map(|(name, _)| name.to_string()).collect();
    let own = kept.difference(&names).filter(|name| *name != OF_A_BROWSER);
    faults.extend(own.map(|name| format!("{name} is not made by the program")));
    let texts: String = for_users().iter().map(|name| text_of(name)).collect();
    let unseen = names.iter().filter(|name| !texts.contains(&format!("pictures/{name})")));
    faults.extend(unseen.map(|name| format!("{name} is shown nowhere")));
    assert!(faults.is_empty(), "\n{}\n", faults.join("\n"));
}

/// Links lead somewhere, pictures say what they show, and the README leads to every story.
#[test]
fn links_lead_somewhere() {
    let mut faults = Vec::new();
    for name in all() {
        let here = home().join(&name);
        for link in page::links(&text_of(&name)) {
            let (path, heading) = link.target.split_once('#').unwrap_or((link.target, ""));
            let target = if path.is_empty() { here.clone() } else { here.parent().unwrap().join(path) };
            if path.starts_with("https://") {
                continue;
            }
            if !target.exists() {
                faults.push(format!("{name}: {} leads nowhere", link.target));
            } else if !heading.is_empty() && !page::headings(&fs::read_to_string(target).unwrap()).contains(heading) {
                faults.push(format!("{name}: {} names no heading", link.target));
            }
            if link.words.trim().is_empty() {
                faults.push(format!("{name}: the link to {} says nothing", link.target));
            }
        }
    }
    let readme = text_of("README.md");
    let stories = for_users().into_iter().skip(1);
    faults.extend(
        stories.filter(|s| !readme.contains(&format!("]({s})"))).map(|s| format!("README.md leads not to {s}")),
    );
    assert!(faults.is_empty(), "\n{}\n", faults.join("\n"));
}

/// The README is short enough to be read, and the commands that a fresh machine needs stand in its first lines.
#[test]
fn the_readme_begins_with_what_a_fresh_machine_needs() {
    let readme = text_of("README.md");
    let lines: Vec<&str> = readme.lines().collect();
    assert!(lines.len() <= 200, "{} lines", lines.len());
    for command in FIRST_COMMANDS {
        assert!(lines[..30].contains(&format!("    {command}").as_str()), "{command}");
    }
}

/// The topics that the README lists are topics of the help.
#[test]
fn the_readme_lists_topics_of_the_help() {
    let readme = text_of("README.md");
    let rows = readme.lines().filter_map(|line| line.strip_prefix("| `"));
    let topics: Vec<&str> = rows.filter_map(|row| row.split('`').next()).collect();
    assert!(topics.len() >= 10, "{topics:?}");
    let unknown: Vec<&str> = topics.into_iter().filter(|topic| !run(&["help", topic]).status.success()).collect();
    assert!(unknown.is_empty(), "{unknown:?}");
}

/// The files that DEVELOPERS.md names are there.
#[test]
fn the_developers_guide_names_files_that_exist() {
    let guide = text_of("DEVELOPERS.md");
    let mut named = 0;
    for word in guide.split('`').skip(1).step_by(2) {
        let is_path =
            word.contains('/') && !word.contains([' ', '*', '<', ':', '$', '(']) && !word.starts_with(['/', '-']);
        if is_path && !word.starts_with("out/") && !word.starts_with("target") {
            assert!(home().join(word).exists(), "{word}");
            named += 1;
        }
    }
    assert!(named >= 20, "only {named} files named");
}

pub fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap().map(Result::unwrap) {
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &target);
        } else {
            fs::copy(entry.path(), target).unwrap();
        }
    }
}
