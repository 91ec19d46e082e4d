//! What is wrong with the arguments, in the manner of all other faults; clap finds it, and its own words are for programmers.

use clap::Error;
use clap::error::{ContextKind, ContextValue, ErrorKind};

/// What is said of arguments that cannot be read: what is wrong, and what to type.
pub(super) fn told(error: &Error) -> String {
    let texts = |kind| match error.get(kind) {
        Some(ContextValue::String(text)) => vec![text.clone()],
        Some(ContextValue::Strings(texts)) => texts.clone(),
        Some(ContextValue::StyledStr(text)) => vec![text.to_string()],
        Some(ContextValue::StyledStrs(texts)) => texts.iter().map(ToString::to_string).collect(),
        _ => Vec::new(),
    };
    let text = |kind| texts(kind).into_iter().next().unwrap_or_default();
    let (argument, value) = (flag(&text(ContextKind::InvalidArg)), text(ContextKind::InvalidValue));
    let valid = texts(ContextKind::ValidValue);
    let near = |kind| match text(kind) {
        near if near.is_empty() => String::new(),
        near => format!(" Did you mean {}?", flag(&near)),
    };
    let usage = texts(ContextKind::Usage).concat();
    let usage = usage.trim().trim_start_matches("Usage:").split_whitespace().collect::<Vec<_>>().join(" ");
    // The program by the name it was called by, whatever that is, then the command's words.
    let of_command = |word: &str| word.bytes().all(|b| b.is_ascii_lowercase());
    let words = usage.split_whitespace().enumerate().take_while(|(i, word)| *i == 0 || of_command(word));
    let command = words.map(|(_, word)| word).collect::<Vec<_>>().join(" ");
    match error.kind() {
        ErrorKind::InvalidValue if value.is_empty() => {
            let use_one =
                if valid.is_empty() { "Put a value after it".into() } else { format!("Use {}", listed(&valid, "or")) };
            format!("{argument} has no value. {use_one}.")
        }
        ErrorKind::InvalidValue if argument.is_empty() => format!("\"{value}\" cannot stand here."),
        ErrorKind::InvalidValue => {
            let meant = stopwright::input::nearest::nearest(&value, valid.iter().map(String::as_str));
            let near = meant.map_or_else(String::new, |near| format!(" Did you mean {near}?"));
            format!("{argument} cannot be \"{value}\".{near} Use {}.", listed(&valid, "or"))
        }
        ErrorKind::ValueValidation => {
            // Readers of values say what they allow.
            let allowed = std::error::Error::source(error).map_or_else(String::new, ToString::to_string);
            format!("{argument} cannot be \"{value}\". Use {allowed}.")
        }
        ErrorKind::UnknownArgument if argument.starts_with('-') => {
            let of = if command.is_empty() { "stopwright".into() } else { command };
            let near = near(ContextKind::SuggestedArg);
            format!("{argument} is not a flag of {of}.{near} Type \"{of} --help\" for its flags.")
        }
        ErrorKind::UnknownArgument | ErrorKind::TooManyValues => {
            format!(
                "\"{argument}\" is one word too many. Take it out, or put quotes around words that belong together."
            )
        }
        ErrorKind::InvalidSubcommand => {
            let word = text(ContextKind::InvalidSubcommand);
            let near = near(ContextKind::SuggestedSubcommand);
            format!("\"{word}\" is not a command.{near} Type \"stopwright help\" for all of them.")
        }
        ErrorKind::MissingRequiredArgument => {
            let missing: Vec<String> = texts(ContextKind::InvalidArg).iter().map(|name| flag(name)).collect();
            let is = if missing.len() == 1 { "is" } else { "are" };
            format!("{} {is} missing. Type: {usage}", listed(&missing, "and"))
        }
        ErrorKind::ArgumentConflict => {
            match listed(&texts(ContextKind::PriorArg).iter().map(|a| flag(a)).collect::<Vec<_>>(), "or") {
                others if others == argument => format!("{argument} stands there twice. Give it once."),
                others if others.is_empty() => format!("{argument} cannot stand beside the others. Leave it out."),
                others => format!("{argument} cannot be used with {others}. Use one of them."),
            }
        }
        _ => error.to_string().trim_start_matches("error: ").trim_end().to_string(),
    }
}

/// An argument as it is typed, without the name of its value, unless it has no other.
fn flag(argument: &str) -> String {
    if !argument.starts_with('-') {
        return argument.trim_matches(['<', '>']).trim_end_matches(">...").into();
    }
    argument.split([' ', '=']).next().unwrap_or_default().trim_end_matches('[').into()
}

fn listed(words: &[String], last: &str) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., end] => format!("{} {last} {end}", first.join(", ")),
    }
}
