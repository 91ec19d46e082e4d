//! The grades of the standards and their mean grain sizes in micrometres, coarse to fine.
//!
//! A standard states a grade by limits at several points of its grains' distribution; the one number here is the
//! median (microgrits) or the mean diameter that the trade's tables give (macrogrits). Standards measure it in different
//! ways, so that sizes of two of them compare to some tenths only.

/// A system of grades.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Standard {
    /// FEPA P grades of coated abrasives, ISO 6344.
    P,
    /// CAMI grades of coated abrasives, ANSI B74.18.
    Cami,
    /// JIS grades of precision powders, as of water stones, JIS R 6001-2, which ends at 8000.
    Jis,
    /// Numbers finer than those of JIS, which makers of water stones print: no standard has them.
    Makers,
    /// FEPA F grades of bonded abrasives, as of oil stones, ISO 8486.
    F,
    /// Meshes to the inch of the sieve, as of diamond plates.
    Mesh,
}

impl Standard {
    /// All of them.
    pub const ALL: [Standard; 6] =
        [Standard::P, Standard::Cami, Standard::Jis, Standard::Makers, Standard::F, Standard::Mesh];

    /// What stands before a grade's number.
    pub fn prefix(self) -> &'static str {
        match self {
            Standard::P => "P",
            Standard::Cami => "CAMI ",
            Standard::Jis => "JIS ",
            Standard::Makers => "#",
            Standard::F => "F",
            Standard::Mesh => "",
        }
    }

    /// What stands after it.
    pub fn suffix(self) -> &'static str {
        if self == Standard::Mesh { " mesh" } else { "" }
    }

    /// Number of the grade and its mean grain size, µm, coarse to fine.
    pub fn grades(self) -> &'static [(u16, f64)] {
        match self {
            Standard::P => &P,
            Standard::Cami => &CAMI,
            Standard::Jis => &JIS,
            Standard::Makers => &MAKERS,
            Standard::F => &F,
            Standard::Mesh => &MESH,
        }
    }

    /// Where the sizes are from.
    pub fn source(self) -> &'static str {
        match self {
            Standard::P => {
                "ISO 6344-2 (P12 to P220, mean diameter) and ISO 6344-3 (P240 to P2500, median by sedimentation), from \
                 memory, compared with public tables"
            }
            Standard::Cami => {
                "ANSI B74.18, mean diameter, from memory, compared with public tables, which differ by up to a tenth"
            }
            Standard::Jis => {
                "JIS R 6001-2, median by electrical resistance, compared with a public copy of the table of 1987"
            }
            Standard::Makers => {
                "a maker's own number, finer than any of JIS R 6001-2; micrometres assumed, in proportion to the number from JIS 8000 on"
            }
            Standard::F => {
                "ISO 8486-1 (F46 to F220, mean diameter) and ISO 8486-2 (F230 to F2000, median by sedimentation), from memory"
            }
            Standard::Mesh => {
                "openings of sieves (ASTM E11, from memory) to 400 mesh; finer meshes are makers' own, micrometres assumed at 15 mm by the mesh"
            }
        }
    }

    /// Mean grain size of a grade, µm; `None` for a number that the standard does not have.
    pub fn grain(self, number: u16) -> Option<f64> {
        self.grades().iter().find(|(n, _)| *n == number).map(|(_, grain)| *grain)
    }

    /// The numbers of its grades, for messages.
    pub fn numbers(self) -> String {
        self.grades()
            .iter()
            .map(|(n, _)| format!("{}{n}{}", self.prefix(), self.suffix()))
            .collect::<Vec<_>>()
            .join(", ")
    }

    /// The grade whose number is nearest to this one, as it is written.
    pub(super) fn nearest(self, number: u32) -> String {
        let far = |n: u16| u32::from(n).abs_diff(number);
        let nearest = self.grades().iter().map(|(n, _)| *n).min_by_key(|n| far(*n)).unwrap_or_default();
        format!("{}{nearest}{}", self.prefix(), self.suffix())
    }
}

/// ISO 6344-2 up to P220, ISO 6344-3 from P240.
const P: [(u16, f64); 28] = [
    (12, 1815.0),
    (16, 1324.0),
    (20, 1000.0),
    (24, 764.0),
    (30, 642.0),
    (36, 538.0),
    (40, 425.0),
    (50, 336.0),
    (60, 269.0),
    (80, 201.0),
    (100, 162.0),
    (120, 125.0),
    (150, 100.0),
    (180, 82.0),
    (220, 68.0),
    (240, 58.5),
    (280, 52.2),
    (320, 46.2),
    (360, 40.5),
    (400, 35.0),
    (500, 30.2),
    (600, 25.8),
    (800, 21.8),
    (1000, 18.3),
    (1200, 15.3),
    (1500, 12.6),
    (2000, 10.3),
    (2500, 8.4),
];

/// ANSI B74.18.
const CAMI: [(u16, f64); 21] = [
    (24, 708.0),
    (30, 632.0),
    (36, 530.0),
    (40, 425.0),
    (50, 348.0),
    (60, 265.0),
    (80, 190.0),
    (100, 140.0),
    (120, 115.0),
    (150, 92.0),
    (180, 82.0),
    (220, 68.0),
    (240, 53.0),
    (280, 44.0),
    (320, 36.0),
    (360, 28.0),
    (400, 23.0),
    (500, 20.0),
    (600, 16.0),
    (800, 12.6),
    (1000, 10.3),
];

/// Makers' own numbers beyond JIS R 6001-2: 9600 µm by the number, an assumption.
const MAKERS: [(u16, f64); 7] =
    [(10000, 0.96), (12000, 0.8), (13000, 0.74), (15000, 0.64), (16000, 0.6), (20000, 0.48), (30000, 0.32)];

/// ISO 8486-1 up to F220, ISO 8486-2 from F230.
const F: [(u16, f64); 24] = [
    (46, 370.0),
    (54, 310.0),
    (60, 260.0),
    (70, 218.0),
    (80, 185.0),
    (90, 154.0),
    (100, 129.0),
    (120, 109.0),
    (150, 82.0),
    (180, 69.0),
    (220, 58.0),
    (230, 53.0),
    (240, 44.5),
    (280, 36.5),
    (320, 29.2),
    (360, 22.8),
    (400, 17.3),
    (500, 12.8),
    (600, 9.3),
    (800, 6.5),
    (1000, 4.5),
    (1200, 3.0),
    (1500, 2.0),
    (2000, 1.2),
];

/// Meshes to the inch.
const MESH: [(u16, f64); 12] = [
    (80, 180.0),
    (100, 150.0),
    (120, 125.0),
    (170, 90.0),
    (200, 75.0),
    (230, 63.0),
    (270, 53.0),
    (325, 45.0),
    (400, 38.0),
    (600, 25.0),
    (1000, 15.0),
    (1200, 12.5),
];

/// JIS R 6001-2, precision powders.
const JIS: [(u16, f64); 18] = [
    (240, 57.0),
    (280, 48.0),
    (320, 40.0),
    (360, 35.0),
    (400, 30.0),
    (500, 25.0),
    (600, 20.0),
    (700, 17.0),
    (800, 14.0),
    (1000, 11.5),
    (1200, 9.5),
    (1500, 8.0),
    (2000, 6.7),
    (2500, 5.5),
    (3000, 4.0),
    (4000, 3.0),
    (6000, 2.0),
    (8000, 1.2),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grains_get_smaller_as_numbers_rise() {
        for standard in Standard::ALL {
            assert!(standard.grades().windows(2).all(|w| w[0].0 < w[1].0 && w[0].1 > w[1].1), "{standard:?}");
        }
    }

    #[test]
    fn a_number_that_a_standard_lacks_has_no_grain() {
        assert_eq!(Standard::P.grain(1700), None);
        assert_eq!(Standard::Jis.grain(1000), Some(11.5));
        assert!(Standard::Cami.numbers().ends_with("CAMI 1000"));
    }
}
