//! The colours of a picture by numbers: what is drawn with, and what smoothing mixes of it at edges.

use std::collections::HashMap;

use foldhash::fast::FixedState;

/// Red, green and blue.
pub(super) type Colour = [u8; 3];

/// Steps in which a colour covers another: sixteen are as smooth to the eye as 256, and are packed into half the room.
const STEPS: usize = 16;
/// Of 255 parts, those of a step.
const PARTS: u32 = 17;

/// Colours by their numbers. What is drawn with is kept as it is; what is mixed of it is told apart in 32 steps of each
/// of red, green and blue.
#[derive(Debug, Default)]
pub(super) struct Palette {
    colours: Vec<Colour>,
    numbers: HashMap<Colour, u16, FixedState>,
    /// What was mixed so far: by the number of the colour that is laid, that of the one below, and the step.
    mixes: Vec<Vec<[Option<u16>; STEPS]>>,
}

impl Palette {
    /// Of what is drawn with.
    pub fn of(drawn_with: impl IntoIterator<Item = Colour>) -> Self {
        let mut palette = Self::default();
        for colour in drawn_with {
            palette.number(colour);
        }
        palette
    }

    /// All colours, by their numbers.
    pub fn colours(&self) -> &[Colour] {
        &self.colours
    }

    /// The number of a colour; where there are no more numbers, of the one that is nearest.
    pub fn number(&mut self, colour: Colour) -> u16 {
        if let Some(number) = self.numbers.get(&colour) {
            return *number;
        }
        let number = u16::try_from(self.colours.len()).unwrap_or_else(|_| {
            let off = |other: &Colour| colour.iter().zip(other).map(|(a, b)| u32::from(a.abs_diff(*b))).sum::<u32>();
            (0..=u16::MAX).min_by_key(|number| off(&self.colours[usize::from(*number)])).unwrap_or(0)
        });
        if usize::from(number) == self.colours.len() {
            self.colours.push(colour);
        }
        self.numbers.insert(colour, number);
        number
    }

    /// The number of what is seen where one colour covers another so far, 0 to 255; both by their numbers.
    pub fn mixed(&mut self, below: u16, above: u16, cover: u8) -> u16 {
        let step = usize::from(cover) * STEPS / 256;
        let [at, over] = [below, above].map(usize::from);
        if let Some(Some(number)) = self.mixes.get(over).and_then(|mixes| mixes.get(at)).map(|mixes| mixes[step]) {
            return number;
        }
        let number = self.mixed_anew(self.colours[at], self.colours[over], step as u32 * PARTS);
        grown(grown(&mut self.mixes, over), at)[step] = Some(number);
        number
    }

    fn mixed_anew(&mut self, below: Colour, above: Colour, cover: u32) -> u16 {
        let mix = |below: u8, above: u8| {
            let [below, above] = [below, above].map(u32::from);
            ((below * (255 - cover) + above * cover + 127) / 255) as u8
        };
        let mixed: Colour = std::array::from_fn(|i| mix(below[i], above[i]));
        match self.numbers.get(&mixed) {
            Some(number) => *number,
            None => self.number(mixed.map(|v| v & 0xf8 | v >> 5)),
        }
    }
}

/// The place of a number in a list, which is as long as it needs to be.
fn grown<T: Default + Clone>(list: &mut Vec<T>, at: usize) -> &mut T {
    if list.len() <= at {
        list.resize(at + 1, T::default());
    }
    &mut list[at]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_that_were_drawn_with_are_kept_and_those_of_edges_nearly() {
        let drawn_with = [[255, 255, 255], [0, 0, 0], [101, 102, 103], [248, 245, 238]];
        let mut palette = Palette::of(drawn_with.into_iter().chain(drawn_with));
        assert_eq!(palette.colours(), drawn_with);
        assert_eq!(drawn_with.map(|colour| palette.number(colour)), [0, 1, 2, 3]);
        for (below, above) in (0..4).flat_map(|i| (0..4).map(move |j| (i, j))) {
            // No cover shows what is below, and a whole one what is above, exactly.
            assert_eq!([0, 15, 240, 255].map(|cover| palette.mixed(below, above, cover)), [below, below, above, above]);
            for step in 0..16 {
                let seen = [step * 16, step * 16 + 15].map(|cover| palette.mixed(below, above, cover as u8));
                assert_eq!(seen[0], seen[1]);
                let part = f64::from(step) / 15.0;
                let [from, to] = [below, above].map(|number| drawn_with[usize::from(number)]);
                for ((from, to), seen) in from.iter().zip(to).zip(palette.colours()[usize::from(seen[0])]) {
                    let exact = f64::from(*from) * (1.0 - part) + f64::from(to) * part;
                    assert!((exact - f64::from(seen)).abs() < 8.0, "{exact} {seen}");
                }
            }
        }
        // What is mixed twice is one colour, and of two colours there are no more than the steps between them.
        let known = palette.colours().len();
        (0..=255).for_each(|cover| _ = palette.mixed(0, 1, cover));
        assert_eq!(palette.colours().len(), known);
        assert!(known <= 4 + 6 * 2 * 14, "{known}");
    }

    #[test]
    fn without_another_number_the_nearest_colour_is_shown() {
        let all = (0..=u16::MAX).map(|i| [(i >> 8) as u8, (i & 0xff) as u8, 0]);
        let mut palette = Palette::of(all);
        assert_eq!(palette.number([7, 9, 3]), 7 << 8 | 9);
        assert_eq!(palette.number([7, 9, 200]), 7 << 8 | 9);
        assert_eq!(palette.colours().len(), 1 << 16);
    }
}
