//! A short fingerprint of the state of guide and job, which everything made of them bears, so that a block made before
//! the guide was measured anew is known for what it is.

use serde_json::{Value, json};

use super::{Corrections, Job, JobSetting};
use crate::guide::{Guide, Taken};
use crate::input::length::Length;
use crate::kit::Kit;
use crate::lane::{Correction, id_of};
use crate::units::short;

/// The signs of a fingerprint: none that looks like another, and no vowels, so that no word comes of them.
const SIGNS: &[u8; 20] = b"34679CDFGHJKMNPRTWXY";
/// How many of them.
const LENGTH: u32 = 4;
/// Decimals of the readings that count, mm and degrees: far finer than they can be taken, and coarser than what is lost
/// in turning inches to millimetres.
const DECIMALS: usize = 4;

impl Job {
    /// The fingerprint of this job and its guide: four signs, of everything that moves a fence or its limits, corrections
    /// among it. Names, titles, paths and how well something was measured do not count.
    ///
    /// It is the CRC-32 (ISO 3309) of the readings in millimetres and degrees, written in twenty signs; two states have
    /// the same one by chance once in 160,000 times.
    pub fn fingerprint(&self) -> String {
        self.fingerprint_with(&self.guide)
    }

    /// The fingerprint of this job with another guide. What test bevels showed of the guide holds for its own readings
    /// only: with others it does not count.
    pub fn fingerprint_with(&self, guide: &Guide) -> String {
        let mut counted = readings(self, guide);
        let anew = counted != readings(self, &self.guide);
        let moved = self.corrections.as_ref().map(|all| moved(self, all, anew)).unwrap_or_default();
        if !moved.is_empty() {
            counted["corrections"] = json!(moved);
        }
        signs(crc32fast::hash(counted.to_string().as_bytes()))
    }

    /// The fingerprint that this job has without corrections: of the state that they are for.
    pub fn fingerprint_uncorrected(&self) -> String {
        signs(crc32fast::hash(readings(self, &self.guide).to_string().as_bytes()))
    }
}

/// The lanes that are corrected, by their place among the settings or their letter in the kit, with both parts of it;
/// `anew`: without those of a guide that was measured anew.
fn moved(job: &Job, all: &Corrections, anew: bool) -> Vec<[String; 3]> {
    let of_settings = job.settings.iter().flat_map(|s| s.angles.iter().map(|angle| id_of(&s.id, *angle)));
    let places: Vec<(String, String)> = match &job.kit {
        Some(_) => all.lanes.keys().map(|letter| (letter.clone(), letter.clone())).collect(),
        None => of_settings.enumerate().map(|(place, id)| (place.to_string(), id)).collect(),
    };
    let parts = |(place, id): (String, String)| {
        let Correction { making, guide } = all.of_lane(&id);
        [place, number(making), number(if anew { 0.0 } else { guide })]
    };
    places.into_iter().map(parts).filter(|[_, making, guide]| making != "0" || guide != "0").collect()
}

fn signs(mut hash: u32) -> String {
    let base = SIGNS.len() as u32;
    let mut next = || {
        let sign = SIGNS[(hash % base) as usize];
        hash /= base;
        char::from(sign)
    };
    (0..LENGTH).map(|_| next()).collect()
}

fn number(value: f64) -> String {
    short(value, DECIMALS)
}

fn length(length: Length) -> String {
    number(length.mm)
}

/// A length from the axle and how it was taken: over the roller it hangs on the roller's diameter.
fn taken(taken: Taken) -> Value {
    json!([length(taken.measured()), matches!(taken, Taken::OverRoller(_))])
}

/// Everything that counts, in one order.
fn readings(job: &Job, guide: &Guide) -> Value {
    let [roller, face, seats] = of_guide(guide);
    let block = &job.block;
    let mut all = json!({
        "roller": roller,
        "face": face,
        "seats": seats,
        "settings": job.settings.iter().map(setting).collect::<Vec<_>>(),
        "kit": job.kit.as_ref().map(kit),
        "across_seats": job.across_seats,
        "roller_level": length(job.roller_level),
        "tolerance": number(job.tolerance),
        "block": [block.thickness.map(number), Some(number(block.fence_within))],
        "front_relief": block.front_relief,
        "wood": (job.states_wood || job.jig_alone).then(|| number(job.wood.fence_within)),
    });
    if !job.shared_with.is_empty() {
        all["shared_with"] = json!(job.shared_with.iter().map(of_guide).collect::<Vec<_>>());
    }
    all
}

/// What counts of a guide: roller, face and seats.
fn of_guide(guide: &Guide) -> [Value; 3] {
    let (roller, face) = (&guide.roller, &guide.face);
    let seats = guide.seats().map(|(name, seat)| {
        let known = seat.known.iter().map(|k| json!([number(k.angle.degrees), length(k.projection)]));
        let own = [
            json!(name),
            taken(seat.height),
            json!(seat.parallel.map(length)),
            json!(seat.locates),
            json!(seat.blade_width.map(|w| w.map(number))),
            json!(seat.blade_thickness.map(|t| t.map(number))),
        ];
        own.into_iter().chain(known).collect::<Vec<Value>>()
    });
    [
        json!([length(roller.diameter), roller.width.map(length), roller.arrangement, roller.gap.map(length)]),
        json!([
            taken(face.axle_to_face),
            face.bottom.map(taken),
            face.width.map(length),
            number(face.square_error.degrees),
        ]),
        json!(seats.collect::<Vec<_>>()),
    ]
}

fn setting(setting: &JobSetting) -> Value {
    json!([
        setting.seat,
        setting.angles.iter().copied().map(number).collect::<Vec<_>>(),
        blade(&setting.blade),
        number(setting.width),
        setting.primary.map(number),
        length(setting.roller_level),
        setting.edge,
    ])
}

fn blade(blade: &crate::guide::Blade) -> Value {
    json!([
        length(blade.thickness),
        number(blade.taper.degrees),
        blade.land.map(length),
        number(blade.land_taper.degrees),
    ])
}

/// The blades, with the angles that are asked for or advised.
fn kit(kit: &Kit) -> Value {
    let blades = kit.blades.iter().zip(kit.advice()).map(|(of_kit, advice)| {
        json!([
            of_kit.seat(),
            blade(&of_kit.blade),
            number(of_kit.width),
            of_kit.length.map(number),
            of_kit.current.map(number),
            number(advice.primary.angle),
            number(advice.micro.angle),
        ])
    });
    json!(blades.collect::<Vec<_>>())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::guide::named::NoFiles;

    fn job(of: &str) -> Job {
        Job::parse("job", of.as_bytes(), &NoFiles).expect("a sound job")
    }

    const BLADE: &str = r#""tool": "plane-iron", "angles": [30], "thickness": 3.175, "taper": 0, "width": 50.8"#;

    fn of(title: &str, setting: &str) -> String {
        format!(r#"{{ "format": 1, "title": "{title}", "guide": "narrow-side-clamp", "settings": [{{ {setting} }}] }}"#)
    }

    #[test]
    fn signs_are_written_from_the_hash_alone() {
        assert_eq!(signs(0), "3333");
        assert_eq!(signs(1 + 20 * (2 + 20 * (3 + 20 * 4))), "4679");
        // The check value of CRC-32 (ISO 3309): of the digits 1 to 9.
        assert_eq!(crc32fast::hash(b"123456789"), 0xCBF4_3926);
    }

    #[test]
    fn readings_count_and_names_do_not() {
        let base = job(&of("One", BLADE));
        let same = |setting: &str| job(&of("Two", setting)).fingerprint() == base.fingerprint();
        assert!(same(BLADE));
        assert!(same(&format!(r#"{BLADE}, "id": "other""#)));
        assert!(same(&BLADE.replace("3.175", r#""1/8 in""#).replace("50.8", r#""2 in""#)), "units");
        assert!(same(&BLADE.replace("3.175", r#"{ "value": 3.175, "within": 0.02 }"#)), "how well it was measured");
        assert!(!same(&BLADE.replace("3.175", "3.185")));
        assert!(!same(&BLADE.replace("[30]", "[30, 35]")));
        let mut worn = base.guide.clone();
        worn.name = "another name".into();
        assert_eq!(base.fingerprint_with(&worn), base.fingerprint());
        worn.roller.diameter.mm -= 0.1;
        assert_ne!(base.fingerprint_with(&worn), base.fingerprint());
    }
}
