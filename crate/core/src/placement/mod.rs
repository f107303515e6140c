//! The placed graft against the anatomy: clearances of tunnels, and what fabric covers.
//!
//! Results are [`Quantity`](crate::quantity::Quantity)s, one for each possibility. Rules judge them;
//! nothing here knows a limit.

pub mod cover;
pub mod tunnel;
