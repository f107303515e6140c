//! The room of a placement: how far it may be slid and turned with every required rule still met.
//!
//! [`plane`] is the plane of shift and rotation with trials on a grid; [`border`] finds where what
//! holds ends; [`reach`] goes one way alone; [`ellipse`] finds the placement that
//! forgives most; [`rooming`] does it all in pieces.

pub mod border;
pub mod ellipse;
pub mod plane;
pub mod reach;
pub mod rooming;

use plane::Move;

/// Farthest move looked at, to either side.
pub const FARTHEST: Move = Move { shift_mm: 60.0, turn_deg: 180.0 };
