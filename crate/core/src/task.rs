//! Work that can be paused: counted in operations, advanced a little at a time.
//!
//! The page may use no workers, so long work runs a few milliseconds a frame and is dropped when a
//! newer state comes. Nothing here reads a clock; the caller decides how many operations fit.

/// How far a task has come.
#[derive(Debug, PartialEq)]
pub enum Progress<T> {
    /// More to do: operations done so far, of about how many.
    Working {
        /// Operations done.
        done: u64,
        /// Operations in all, as far as known.
        of: u64,
    },
    /// Finished, with its result.
    Done(T),
}

/// Resumable work.
pub trait Task {
    /// What the work yields.
    type Output;

    /// Does at least one and about `operations` operations, then says how far it has come.
    ///
    /// After [`Progress::Done`] a further call does nothing and says `Working`.
    fn advance(&mut self, operations: u64) -> Progress<Self::Output>;

    /// Runs to the end without pause, as the native command does.
    fn finish(mut self) -> Option<Self::Output>
    where
        Self: Sized,
    {
        loop {
            match self.advance(u64::MAX) {
                Progress::Done(output) => return Some(output),
                Progress::Working { done, of } if done >= of => return None,
                Progress::Working { .. } => {}
            }
        }
    }
}
