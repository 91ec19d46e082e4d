//! What block and jig both show: guide and blade from the side, plan, section, and the sheet that bears them all.
//!
//! * [`figure`]: guide and blade from the side; [`side_view`]: its sheet.
//! * [`in_use`]: a small figure of a lane in use, for sheets and cards.
//! * [`plan`], [`section`], [`assembly`]: plan, section, table and notes together.
//! * [`words`]: the words of the trade, what they mean, and the figure that shows them.

pub mod assembly;
pub mod figure;
pub mod in_use;
pub mod plan;
pub mod section;
pub mod side_view;
pub mod words;
