//! The figure and the words as plain text, for a terminal of 80 columns.

use super::Word;

/// The guide at the block, from the side.
const SETTING: &str = r#"               ├─axle to face─┼─────── projection ────────┤
               guide                   blade            edge      middle
                 │                       │                │          │
          ┌──────┴─────────────┐         │                │┌─────────┴───┐
          │                    │         │                ││< fence      │
    ══════╪════════════════════╪═════════╧════════════════╧│             │
    ┬     │── seat ────────────├────────── table ──────────┘             └───┐
    │     │                    │╲ arris                              block   │
    │     │                    │<─────────── lane ────────>        far edge >│
    │     │                    │< near edge: here the reference edge         │
    │     │                    ├─────────────────┬─────────┬─────────────────┘
    │     └─┐           face >│                  │  cleat  │ bench
    │       ╭─────╮────────────┘                 │         │
    │       │  +  │ roller                       └─────────┘
    ┴       ╰─────╯
    roller below the table"#;

/// The edge of its blade, enlarged.
const EDGE: &str = r#"            back                           burr
             │                               │
  ───────────┴───────────────────────────────╯ < edge
                                     __..--'' < micro-bevel
                             __..--'' < bevel
                     __..--''
  ──────────────────''
                    ^ heel"#;

/// What these do not show.
const OTHERS: &str = r#"  a chisel, on its edge       a cambered edge         the block from above
  ┌──── back ────┐            │             │         ┌────── far edge ──────┐
  │              │< land      │             │         │ lane  │ lane │ lane  │
   ╲            ╱             '-.         .-'         │======= middle =======│
    ╲__________╱                 ''-...-''   < camber │ lane  │ lane │ lane  │
                                                      └────── near edge ─────┘

  an iron in its plane        a saw cut
           ╲╲                 ┌──────┐ ┌──────┐
            ╲╲                │      │ │< kerf│
  bed angle >╲╲               │      └─┘      │
  ────────────╲╲── sole       └───────────────┘"#;

/// Column where the meanings begin.
const MEANINGS: usize = 25;

/// The labelled figure of guide and block, and what each word means, in lines of at most 80 characters.
pub fn glossary() -> String {
    let mut text = String::new();
    for (heading, figure) in [
        ("Setting: the guide at the block, from the side, cut through a lane", SETTING),
        ("The edge of the blade, enlarged", EDGE),
        ("Other parts", OTHERS),
    ] {
        text += &format!("{heading}\n\n{figure}\n\n");
    }
    text += "What each word means\n\n";
    for word in Word::ALL {
        text += &format!("  {:<width$}{}\n", word.name(), word.meaning(), width = MEANINGS - 2);
    }
    text
}
