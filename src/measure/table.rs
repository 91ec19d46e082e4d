//! The questions, in the order they are asked.
//!
//! The caliper's own questions come first, since they give readings their least tolerance. A seat's parallel comes
//! before its level, since it decides what the calipers touch. Usual ranges are common practice, without a source;
//! allowed ranges are those of the guide profile's schema (a test compares them).

use super::answers::Answers;
use super::field::Field;
use super::question::{AnswerKind, Need, Question, Range};
use super::seat_questions::{blade_thickness, blade_width, locates, over_roller, parallel};
use crate::terms::SeatName;

fn always(_: &Answers) -> bool {
    true
}

fn is_pair(answers: &Answers) -> bool {
    answers.word(Field::Arrangement) == Some("pair")
}

fn has_iron(answers: &Answers) -> bool {
    answers.has_seat(SeatName::Iron)
}

fn has_chisel(answers: &Answers) -> bool {
    answers.has_seat(SeatName::Chisel)
}

/// All questions.
pub static QUESTIONS: &[Question] = &[
    Question {
        field: Field::Name,
        symbol: "",
        what: "name of the guide",
        how: |_| "Your own name for it. The profile is called NAME.json.",
        kind: AnswerKind::Name,
        need: |_| Need::Required("the profile is kept under it"),
        relevant: always,
    },
    Question {
        field: Field::Units,
        symbol: "",
        what: "unit of bare numbers",
        how: |_| "A length with its own unit (18 mm, 45/64 in, 1 3/8 in) is read either way.",
        kind: AnswerKind::Choice(&[("mm", "millimetres"), ("in", "inches, also as fractions")]),
        need: |_| Need::Required("a bare number means nothing without it"),
        relevant: always,
    },
    Question {
        field: Field::Resolution,
        symbol: "",
        what: "smallest step your caliper shows",
        how: |_| "The last digit of the display, or one division of the vernier or dial. No reading can be closer than half a step.",
        kind: AnswerKind::Single(Range::new([0.01, 0.2], [0.0, 1.0])),
        need: |_| Need::Optional("the last written place of each reading is taken instead (for fractions, 1/64 in)"),
        relevant: always,
    },
    Question {
        field: Field::Instrument,
        symbol: "",
        what: "error of your caliper, plus or minus",
        how: |_| "What its maker states, or what it shows on something of known size. It is taken to be alike in all lengths. Wipe the jaws, close them and see that it reads zero.",
        kind: AnswerKind::Single(Range::new([0.01, 0.05], [0.0, 1.0])),
        need: |_| Need::Optional("the caliper is then taken to be true"),
        relevant: always,
    },
    Question {
        field: Field::Diameter,
        symbol: "D",
        what: "roller diameter",
        how: |_| "Take out any blade. Jaws across the roller, square to its axle; turn it by a third and read again, three times in all. The axle cannot be touched, so M, N and B go over the roller and half of D comes off.",
        kind: AnswerKind::Length(Range::new([12.0, 50.0], [4.0, 120.0])),
        need: |_| Need::Required("every other length is taken over the roller"),
        relevant: always,
    },
    Question {
        field: Field::Arrangement,
        symbol: "",
        what: "where the roller runs",
        how: |_| "One roller between blade and stone, or two with the blade between them.",
        kind: AnswerKind::Choice(&[
            ("centre", "one roller under the blade"),
            ("pair", "two rollers, one on each side of the blade"),
        ]),
        need: |_| Need::Optional("whether the roller clears the blade is then not checked"),
        relevant: always,
    },
    Question {
        field: Field::RollerWidth,
        symbol: "R",
        what: "width of the roller's tread",
        how: |_| "Jaws on the roller's two flat ends, along the axle; of a pair, one roller.",
        kind: AnswerKind::Length(Range::new([6.0, 60.0], [1.0, 150.0])),
        need: |_| Need::Optional("it is not in the setting"),
        relevant: always,
    },
    Question {
        field: Field::Gap,
        symbol: "P",
        what: "clear width between the rollers of a pair",
        how: |_| "Inside jaws between the rollers' inner ends.",
        kind: AnswerKind::Length(Range::new([30.0, 90.0], [1.0, 200.0])),
        need: |_| Need::Required("a blade must pass between the rollers of a pair"),
        relevant: is_pair,
    },
    Question {
        field: Field::AxleToFace,
        symbol: "N",
        what: "from the roller's rear to the face, along the seat",
        how: |_| "One jaw against the roller's rear (away from the cutting edge), the other flat on the face, the beam along the seat. Take the face where it will bear on the block.",
        kind: AnswerKind::Length(Range::new([15.0, 70.0], [0.0, 210.0])),
        need: |_| Need::Required("the projection counts from the face, and the face is known by nothing else"),
        relevant: always,
    },
    Question {
        field: Field::FaceBottom,
        symbol: "B",
        what: "from the roller's stone side to the face's lower end, square to the seat",
        how: |_| "One jaw under the roller, where it touches the stone; the other at the face's lower end; the beam square to the seat.",
        kind: AnswerKind::Length(Range::new([5.0, 30.0], [-60.0, 160.0])),
        need: |_| Need::Optional("clearance over the stone and the face's bearing on the block are then not checked"),
        relevant: always,
    },
    Question {
        field: Field::FaceWidth,
        symbol: "F",
        what: "width of the face across the blade",
        how: |_| "Jaws on the two ends of the flat that bears on the block.",
        kind: AnswerKind::Length(Range::new([40.0, 80.0], [5.0, 200.0])),
        need: |_| Need::Optional("end lanes then get no margin for the face"),
        relevant: always,
    },
    Question {
        field: Field::Seats,
        symbol: "",
        what: "which seats it has",
        how: |_| "A guide with one seat serves plane irons and chisels with it: choose the kind you hone most. Two seats mostly sit at different heights.",
        kind: AnswerKind::Choice(&[
            ("iron", "one seat, or the one for plane irons"),
            ("chisel", "the one for chisels"),
            ("both", "two seats"),
        ]),
        need: |_| Need::Required("without a seat there is nothing to set"),
        relevant: always,
    },
    locates(SeatName::Iron, has_iron),
    parallel(SeatName::Iron, has_iron),
    over_roller(SeatName::Iron, has_iron),
    blade_width(SeatName::Iron, has_iron),
    blade_thickness(SeatName::Iron, has_iron),
    locates(SeatName::Chisel, has_chisel),
    parallel(SeatName::Chisel, has_chisel),
    over_roller(SeatName::Chisel, has_chisel),
    blade_width(SeatName::Chisel, has_chisel),
    blade_thickness(SeatName::Chisel, has_chisel),
    Question {
        field: Field::Notes,
        symbol: "",
        what: "notes",
        how: |_| "Anything worth knowing: where it is worn, how it was measured.",
        kind: AnswerKind::Text(800),
        need: |_| Need::Optional("nothing is lost"),
        relevant: always,
    },
    Question {
        field: Field::Write,
        symbol: "",
        what: "write the profile?",
        how: |_| "The values are listed above. Go back to change one; quit to write nothing.",
        kind: AnswerKind::Choice(&[("yes", "write the profile and draw its side views")]),
        need: |_| Need::Required("nothing is written without a yes"),
        relevant: always,
    },
];

/// The question that fills in `field`, and its place in the table.
pub fn find(field: Field) -> Option<(usize, &'static Question)> {
    QUESTIONS.iter().enumerate().find(|(_, q)| q.field == field)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::profile::GuideProfile;
    use crate::profile::schema_of;

    fn schema_range(schema: &serde_json::Value, path: &str) -> Option<[f64; 2]> {
        let mut node = schema;
        for step in path.split('.') {
            let reference = node.get("$ref").or_else(|| node.pointer("/anyOf/0/$ref"));
            if let Some(name) = reference.and_then(|r| r.as_str()?.strip_prefix("#/$defs/")) {
                node = schema.pointer(&format!("/$defs/{name}"))?;
            }
            node = node.get("properties")?.get(step)?;
        }
        let pair = node.get("x-mm").or_else(|| node.get("x-each-mm"))?;
        Some([pair[0].as_f64()?, pair[1].as_f64()?])
    }

    #[test]
    fn allowed_ranges_are_those_of_the_schema() {
        let schema = schema_of::<GuideProfile>();
        let mut compared = 0;
        for question in QUESTIONS.iter().filter(|q| q.field != Field::Resolution) {
            let Some(range) = question.range() else { continue };
            let path = question.field.to_string();
            assert_eq!(schema_range(&schema, &path), Some(range.allowed), "{path}");
            assert!(range.usual[0] >= range.allowed[0] && range.usual[1] <= range.allowed[1], "{path}");
            compared += 1;
        }
        assert_eq!(compared, 15);
    }

    #[test]
    fn every_field_is_asked_for_once() {
        for (i, question) in QUESTIONS.iter().enumerate() {
            assert_eq!(find(question.field).map(|f| f.0), Some(i), "{}", question.field);
        }
    }
}
