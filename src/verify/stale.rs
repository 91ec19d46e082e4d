//! Whether a block belongs to the state of guide and job that it is judged by, told by its fingerprint.

use super::readings::Readings;
use crate::job::Job;

/// What is to be said where the block bears the fingerprint of another state.
pub fn of_another_state(job: &Job, readings: &Readings) -> Option<String> {
    let (borne, now) = (readings.fingerprint.as_ref()?, job.fingerprint());
    (*borne != now).then(|| {
        format!(
            "Warning: this block bears the fingerprint {borne}, and guide and job are now {now}: one of them has changed since it was made, or it was made with other corrections. The verdicts below are by the guide and job as they are now. If corrections are all that differs, name their file (--corrections); else make the block anew.\n"
        )
    })
}

/// The state that a block is judged by.
pub fn state(job: &Job) -> String {
    format!(
        "Fingerprint of guide and job: {}. A block or sheet that bears another one belongs to another state of them.\n",
        job.fingerprint()
    )
}

/// What a guide that was measured anew does to the fingerprint.
pub fn measured_anew([before, now]: &[String; 2]) -> String {
    if before == now {
        return format!("The guide's readings are those that the block was made by; its fingerprint stays {before}.\n");
    }
    format!("The block belongs to {before}. With the guide as measured again, a new block and its sheets bear {now}.\n")
}
