//! The placed graft against the anatomy: clearances of tunnels, openings over
//! ostia, space between fabric and wall, what fabric covers, how pieces overlap.
//!
//! Results are [`Quantity`](crate::quantity::Quantity)s, one for each possibility. Rules judge them;
//! nothing here knows a limit.

pub mod components;
pub mod cover;
pub mod fabric;
pub mod footprint;
pub mod openings;
pub mod space;
pub mod tunnel;
