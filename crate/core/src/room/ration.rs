//! How much costly work one piece may still do.
//!
//! A piece whose ration runs out gives nothing and is begun again: whatever was found on the way is
//! remembered, so it comes farther each time, and no piece takes longer than its ration.

/// What costly things cost, in parts of a piece.
pub const WHOLE: u32 = 8;
/// Solving one way in which a graft may lie.
pub const SOLVING: u32 = WHOLE;
/// Reading rules at a knot.
pub const READING: u32 = WHOLE / 2;
/// Reading one of the judged by itself.
pub const ONE: u32 = WHOLE / 4;

/// What is left.
#[derive(Clone, Copy, Debug)]
pub struct Ration {
    left: Option<u32>,
    short: bool,
}

impl Ration {
    /// Without end.
    pub const ENDLESS: Ration = Ration { left: None, short: false };
    /// One piece.
    pub const PIECE: Ration = Ration { left: Some(WHOLE), short: false };

    /// Takes what something costs; `None` where too little is left.
    pub fn take(&mut self, cost: u32) -> Option<()> {
        if let Some(left) = self.left {
            self.short |= left < cost;
            self.left = Some(left.saturating_sub(cost));
        }
        (!self.short).then_some(())
    }

    /// Whether it ran out.
    pub fn short(&self) -> bool {
        self.short
    }
}
