//! The questions about one seat. Where the jaws go depends on what it locates, and on whether a parallel is in it.

use super::answers::Answers;
use super::field::{Field, Part};
use super::question::{AnswerKind, Need, Question, Range};
use crate::terms::{BLADE_THICKNESS, BLADE_WIDTH, SeatName};

type Relevant = fn(&Answers) -> bool;
type How = fn(&Answers) -> &'static str;
type Needs = fn(&Answers) -> Need;

/// `locates`
pub(super) const fn locates(seat: SeatName, relevant: Relevant) -> Question {
    Question {
        field: Field::Seat(seat, Part::Locates),
        symbol: "",
        what: "what of the blade the seat locates",
        how: |_| "Look along the blade: the side that the clamp presses against the fixed surface is the one that is located. (Honing, the underside with the bevel looks down to the stone, the back up.)",
        kind: AnswerKind::Choice(&[
            ("underside", "the blade lies on the seat"),
            ("back", "the blade is pressed up against the seat"),
            ("sides", "a groove grips the blade's side lands"),
        ]),
        need: |_| Need::Required("it decides how a blade's thickness counts"),
        relevant,
    }
}

/// `gauge`
pub(super) const fn parallel(seat: SeatName, relevant: Relevant) -> Question {
    let (how, need): (How, Needs) = match seat {
        SeatName::Iron => (|a| how_parallel(a, SeatName::Iron), |a| need_parallel(a, SeatName::Iron)),
        SeatName::Chisel => (|a| how_parallel(a, SeatName::Chisel), |a| need_parallel(a, SeatName::Chisel)),
    };
    Question {
        field: Field::Seat(seat, Part::Parallel),
        symbol: "g",
        what: "thickness of the flat parallel clamped in the seat",
        how,
        kind: AnswerKind::Length(Range::new([2.0, 12.0], [0.5, 30.0])),
        need,
        relevant,
    }
}

fn how_parallel(answers: &Answers, seat: SeatName) -> &'static str {
    match answers.word(Field::Seat(seat, Part::Locates)) {
        Some("back") => {
            "The seat looks down, so clamp a straight flat parallel up against it as a blade would be, long enough to stand out of the guide, and measure its thickness."
        }
        Some("sides") => {
            "Nothing can touch a groove's centre line, so clamp a flat parallel in the groove by its edges, as a blade would be, and measure its thickness. Its edges must be square, so that the groove centres it."
        }
        _ => {
            "If the jaws reach the seat itself, skip this. Else clamp a straight flat parallel on it as a blade would be, long enough to stand out of the guide, and measure its thickness."
        }
    }
}

fn need_parallel(answers: &Answers, seat: SeatName) -> Need {
    match answers.word(Field::Seat(seat, Part::Locates)) {
        Some("sides") => {
            Need::Required("the groove's centre line is found from the parallel's upper side, half of g below it")
        }
        Some("back") => Need::Optional("the parallel's upper side lies on this seat, so g does not enter the setting"),
        _ => Need::Optional("M is then to the seat itself"),
    }
}

/// `over_roller`
pub(super) const fn over_roller(seat: SeatName, relevant: Relevant) -> Question {
    let how: How = match seat {
        SeatName::Iron => |a| how_over_roller(a, SeatName::Iron),
        SeatName::Chisel => |a| how_over_roller(a, SeatName::Chisel),
    };
    Question {
        field: Field::Seat(seat, Part::OverRoller),
        symbol: "M",
        what: "from the roller's stone side to the seat, square to the seat",
        how,
        kind: AnswerKind::Length(Range::new([15.0, 60.0], [-60.0, 180.0])),
        need: |_| Need::Required("the seat's level decides every projection"),
        relevant,
    }
}

fn how_over_roller(answers: &Answers, seat: SeatName) -> &'static str {
    let with_parallel = answers.length(Field::Seat(seat, Part::Parallel)).is_some();
    match (answers.word(Field::Seat(seat, Part::Locates)), with_parallel) {
        (Some("back"), _) => {
            "One jaw under the roller, where it touches the stone; the other on the upper side of the parallel, which lies against the seat; the beam square to the seat. (h = M − D/2)"
        }
        (Some("sides"), _) => {
            "One jaw under the roller, where it touches the stone; the other on the upper side of the parallel in the groove; the beam square to it. (h = M − g/2 − D/2)"
        }
        (_, true) => {
            "One jaw under the roller, where it touches the stone; the other on the upper side of the parallel on the seat; the beam square to it. (h = M − g − D/2)"
        }
        (_, false) => {
            "One jaw under the roller, where it touches the stone; the other on the seat itself; the beam square to the seat. (h = M − D/2)"
        }
    }
}

/// `blade_width`
pub(super) const fn blade_width(seat: SeatName, relevant: Relevant) -> Question {
    Question {
        field: Field::Seat(seat, Part::BladeWidth),
        symbol: "w",
        what: "narrowest and widest blade the seat holds",
        how: |_| "Open and close the clamp and measure the opening, or blades that just go in. Smallest; largest, as in 35; 67",
        kind: AnswerKind::Pair(Range::new([3.0, 70.0], BLADE_WIDTH)),
        need: |_| Need::Optional("whether the seat holds a blade is then not checked"),
        relevant,
    }
}

/// `blade_thickness`
pub(super) const fn blade_thickness(seat: SeatName, relevant: Relevant) -> Question {
    Question {
        field: Field::Seat(seat, Part::BladeThickness),
        symbol: "t",
        what: "thinnest and thickest blade the seat holds",
        how: |_| "As for the widths. Smallest; largest, as in 1.5; 5",
        kind: AnswerKind::Pair(Range::new([1.5, 8.0], BLADE_THICKNESS)),
        need: |_| Need::Optional("whether the seat holds a blade is then not checked"),
        relevant,
    }
}
