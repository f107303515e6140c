//! What joins a tunnel to its vessel: the bridging path in space and the stent to order.
//!
//! [`elastica`](extrados_curves::elastica) integrates a line of free length that bends as little as it can; [`curve`] finds the
//! one between two poses; [`arcs`] the widest bend that any arc-line-arc between them could have.
//! [`path`] takes the poses from graft and vessel; [`vessel`] says where a stent may end in a vessel;
//! [`stent`] chooses one from the stock. Nothing here knows a rule or how a number is shown.

pub mod arcs;
pub mod curve;
pub mod path;
pub mod stent;
pub mod vessel;
