//! The graft: its shape by itself, and where it lies in the aorta.
//!
//! [`shape`] and [`buildable`] answer for a straight graft on a table; [`lie`] puts it along the aorta in
//! every possibility, its [`axis`] first; [`march`] finds the axis that is the centreline, [`riding`] the
//! one of a graft that bends as it likes; [`between`] answers between stations that were solved. Nothing here knows of ostia being met or missed.

pub use extrados_curves::axis;
pub mod between;
pub mod buildable;
pub mod lie;
mod march;
pub mod riding;
pub mod shape;
