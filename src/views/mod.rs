//! What block and jig both show: guide and blade from the side, plan, section, and the sheet that bears them all.
//!
//! * [`figure`]: guide and blade from the side; [`side_view`]: its sheet.
//! * [`plan`], [`section`], [`assembly`]: plan, section, table and notes together.

pub mod assembly;
pub mod figure;
pub mod plan;
pub mod section;
pub mod side_view;
