//! What may hurt a hand or an eye at grinder and stones; said where steel comes off.

/// At a grinder.
pub const GRINDER: &str = "At a grinder wear eye protection, and no gloves or loose sleeves. Take light passes and cool the \
                           blade often: where the steel turns blue its temper is gone. Follow the grinder's maker's \
                           instructions and local rules.";

/// How a burr is felt.
pub const BURR: &str = "Feel for the burr off the back, away from the edge, never along it.";
