//! What measurements of an earlier block change of a lane's fence.

use serde::Serialize;

/// A correction, mm, positive away from the reference edge. Its two parts have different causes and mean different
/// things to whoever measures the next block.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Correction {
    /// The last block came out off by as much the other way: the fence is moved in the file, and the finished distance
    /// stays what it was.
    pub making: f64,
    /// Test bevels show that the guide sets another angle than its readings say: the finished distance itself changes.
    pub guide: f64,
}

impl Correction {
    /// Both together: what the fence is moved by in the file, mm.
    pub fn total(self) -> f64 {
        self.making + self.guide
    }

    /// Whether there is any.
    pub fn is_any(self) -> bool {
        self.making != 0.0 || self.guide != 0.0
    }
}
