//! What the sheets say of the gauges' use.

use crate::format::dxf;
use crate::gauges::bevel::Bevel;
use crate::gauges::camber::{CHORD, Camber};
use crate::gauges::light::{Making, VISIBLE};
use crate::gauges::square::Square;
use crate::gauges::{Shape, Wanted};
use crate::trig::Trig;
use crate::units::{COARSE, EXACT, MINUTE, fixed};

/// What every sheet says at its foot.
pub fn cautions(making: Making) -> Vec<String> {
    [
        match making {
            Making::Printed => {
                "Sharp edges cut, and a gauge is held close to them: take the burr off, keep fingers behind the edge. \
                 Follow your tools' and printer's makers' instructions."
            }
            Making::Metal => {
                "Sharp edges cut, and a gauge is held close to them: take burrs off blade and gauge, keep fingers behind \
                 the edge. Follow your tools' makers' instructions."
            }
        },
        "Print this sheet at 100 % and measure the bars. These gauges are calculated. Try each on a bevel that you have measured before you rely on it.",
    ]
    .map(String::from)
    .to_vec()
}

/// What is said of a gauge.
pub fn words_of(wanted: &Wanted, shape: &Shape) -> Vec<String> {
    let mut words = match shape {
        Shape::Bevel(bevel) => of_bevel(wanted, bevel),
        Shape::Camber(camber) => of_camber(wanted, camber),
        Shape::Square(square) => of_square(wanted, square),
    };
    let to_cut = match wanted.making {
        Making::Printed => {
            "To cut it in card or plywood instead: along the middle of the line (for sheet metal make it anew with --metal)."
        }
        Making::Metal => "Cut along the middle of the line and file to it under a straight edge; take the burrs off.",
    };
    words.push(format!(
        "{to_cut} A cutter's width that is the same everywhere moves both sides of an angle alike and leaves the angle. {}",
        dxf::CAUTION
    ));
    words
}

fn of_bevel(wanted: &Wanted, bevel: &Bevel) -> Vec<String> {
    let mut words = vec![
        "Put the blade into the slot edge first, its flat back on the straight wall, and push it in until it stops; look \
         through the slot along the edge, a lamp or a window behind it. A blade thinner than the table says shows too \
         little light."
            .into(),
        format!(
            "The table says how close each pair of notches is. {} Gap: what shows when the bevel is right. Where no light shows at either end, the bevel has about that notch's own angle.",
            taken(wanted)
        ),
    ];
    if let Some(hidden) = hidden(bevel) {
        words.push(format!(
            "A micro-bevel up to {} wide lies over the hole, so the notch judges the primary bevel, flat from there to the heel. A hollow or rounded bevel touches elsewhere and cannot be judged like this.",
            wanted.said(hidden)
        ));
    }
    if wanted.making == Making::Printed {
        words.push(format!(
            "Lines printed too wide leave the angles as they are; a printer whose two axes differ in scale turns them, by \
             {}° at most for a difference of 0.5 %. Print it lying flat, outer walls slow, brim off.",
            fixed((0.0025f64).to_degrees(), 2)
        ));
    }
    words
}

/// From what it follows how much a gauge tells.
fn taken(wanted: &Wanted) -> String {
    format!(
        "Assumed: you see gaps from {}, and walls that are {} lie within {} of where they should (common practice, no source).",
        wanted.written.short(VISIBLE, MINUTE).said(),
        wanted.making.words(),
        wanted.written.short(wanted.making.stray(), EXACT).said()
    )
}

/// Width of a micro-bevel that touches no flank, in tenths of a millimetre; none where it is less than one.
fn hidden(bevel: &Bevel) -> Option<f64> {
    let over = bevel.notches.iter().map(|n| {
        let edge = n.rest(n.bevel, bevel.thickness).edge;
        (n.relief * n.angle.to_radians().cosine() - edge) / n.bevel.to_radians().cosine()
    });
    let least = (over.fold(f64::INFINITY, f64::min) * 10.0).floor() / 10.0;
    (least >= 0.1).then_some(least)
}

fn of_camber(wanted: &Wanted, camber: &Camber) -> Vec<String> {
    let mut words = vec![format!(
        "Hold the edge in the hollow, its middle at the middle mark and its corners at the outer ones, the plate square \
         to the back, and look against the light. The straight side of the plate shows the camber itself: rocked on it, \
         the edge leaves at each corner {} when the middle touches.",
        wanted.said(camber.curve.depth)
    )];
    words.push(format!(
        "It shows differences of depth from {}. {} For less use the straight edge of a good rule, and paper of known thickness under \
         a corner{}.",
        wanted.said(wanted.making.tells()),
        taken(wanted),
        match wanted.making {
            Making::Printed => format!("; cut in metal and filed to the line it shows {}", wanted.said(Making::Metal.tells())),
            Making::Metal => String::new(),
        }
    ));
    words.push(format!(
        "The curve is an arc of {} radius in straight runs that leave it by {} or less. Lines printed too wide, or \
         a cutter's width, change its radius by as little as they are wide.",
        wanted.written.short(camber.curve.radius(), COARSE).said(),
        wanted.written.short(CHORD, MINUTE).said()
    ));
    words
}

fn of_square(wanted: &Wanted, square: &Square) -> Vec<String> {
    vec![
        format!(
            "For blades up to {} wide. Turn it so that the stock hangs over the blade's side and the plate lies on its \
             flat back: the edge must run along the inner side of the leg. Or hold both against the light, the edge on \
             the inner side of the leg.",
            wanted.said(square.width)
        ),
        "A blade's own sides may taper. Try both sides, and take the middle of the two.".into(),
        "Test the square itself: against a straight board draw a line along the leg, turn the square over, draw it again \
         from the same point. Where the two lines part, half of that is the square's error. Printed squares take over \
         the skew of their printer (common practice, no source)."
            .into(),
        format!("A true square shows one corner behind the other from {}. {}", wanted.said(wanted.making.tells()), taken(wanted)),
        "Cut from card or plywood, glue a strip on the stock, inside the dashed line of the DXF. Follow the glue's maker's \
         instructions."
            .into(),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::gauges;
    use crate::gauges::bevel;
    use crate::trig::Inverse;

    use crate::job::PrintOptions;
    use crate::terms::PaperSize;
    use crate::units::{Units, Written};

    /// A difference d of two scales turns a line at φ by d·sin φ·cos φ, at most d/2: the figure above.
    #[test]
    fn the_angle_of_unequal_scales_is_the_largest_there_is() {
        let turned = |phi: f64| ((1.005f64 * phi.sine()).arctangent2(phi.cosine()) - phi).to_degrees();
        let most = (1..90).map(|d| turned(f64::from(d).to_radians())).fold(0.0, f64::max);
        assert!((most - 0.0025f64.to_degrees()).abs() < 0.001, "{most}");
    }

    #[test]
    fn a_micro_bevel_that_is_said_to_be_hidden_ends_before_the_rim() {
        let wanted = gauges::Wanted {
            bevels: [20.0, 25.0, 35.0].map(|angle| bevel::Asked { angle, thickness: 3.2 }).to_vec(),
            tolerance: 0.5,
            cambers: Vec::new(),
            square_width: None,
            making: Making::Metal,
            print: PrintOptions::default(),
            title: "t".into(),
            written: Written::of(Units::Mm),
            paper: PaperSize::A4,
        };
        let plates = bevel::plates(&wanted).expect("planned");
        let bevel = &plates[0].shape;
        let hidden = hidden(bevel).expect("some width");
        for notch in &bevel.notches {
            let beta = notch.bevel.to_radians();
            let end = notch.rest(notch.bevel, bevel.thickness).edge + hidden * beta.cosine();
            assert!(end <= notch.relief * notch.angle.to_radians().cosine(), "{}", notch.name());
        }
    }
}
