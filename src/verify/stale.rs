//! Whether a block belongs to the state of guide and job that it is judged by, told by its fingerprint.

use super::readings::Readings;
use crate::job::Job;

/// What is to be said where the block bears the fingerprint of another state.
pub fn of_another_state(job: &Job, readings: &Readings) -> Option<String> {
    let (borne, now) = (readings.fingerprint.as_ref()?, job.fingerprint());
    (*borne != now).then(|| {
        format!(
            "Warning: this block has the fingerprint {borne}, but guide and job now give {now}. One of them has changed since, or the block was made with other corrections. The results below are for guide and job as they are now. If only the corrections differ, give their file (--corrections); otherwise make the block again.\n"
        )
    })
}

/// The state that a block is judged by.
pub fn state(job: &Job) -> String {
    format!(
        "Fingerprint of guide and job: {}. A block or sheet with another one was made before a change.\n",
        job.fingerprint()
    )
}

/// What a guide that was measured anew does to the fingerprint.
pub fn measured_anew([before, now]: &[String; 2]) -> String {
    if before == now {
        return format!("The guide measures as it did when the block was made; the fingerprint stays {before}.\n");
    }
    format!("This block has the fingerprint {before}. A new block from the new profile gets {now}.\n")
}
