//! What the placement forgives: looked for in pieces, coarsely first, and then its chance.

use super::Results;
use extrados::quantity::Unknown;
use extrados::room::chance::Chancing;
use extrados::room::{Forgiveness, Forgiving};
use extrados::task::{Progress, Task};

/// The room of the placement: looked for, with a coarse border once there is one, or found.
#[derive(Debug)]
pub(super) enum Looked {
    For(Box<Forgiving>, Option<Box<Result<Forgiveness, Unknown>>>),
    /// With the chance that is still drawn.
    Found(Box<Result<Forgiveness, Unknown>>, Option<Box<Chancing>>),
}

impl Results {
    /// What the placement forgives, once it is found for this plan: coarsely first.
    pub fn room(&self) -> Option<&Result<Forgiveness, Unknown>> {
        match &self.room {
            Some(Looked::Found(found, _)) => Some(found),
            Some(Looked::For(_, coarse)) => coarse.as_deref(),
            None => None,
        }
    }

    /// Looks for what the placement forgives as long as there is time, or until it is coarsely known where
    /// no more is wanted; says whether that is found.
    pub fn look_for_room_while(&mut self, coarsely: bool, mut time: impl FnMut() -> bool) -> bool {
        let tried = &mut self.tried;
        let looked = self.room.take().unwrap_or_else(|| match Forgiving::of(&self.plan, tried.take()) {
            Ok(looking) => Looked::For(Box::new(looking), None),
            Err(unknown) => Looked::Found(Box::new(Err(unknown)), None),
        });
        let (mut looking, mut coarse) = match looked {
            Looked::For(looking, coarse) => (looking, coarse),
            Looked::Found(mut found, mut chancing) => {
                while let Some(drawing) = chancing.as_mut().filter(|_| !coarsely && time()) {
                    if let Progress::Done(chance) = drawing.advance(1) {
                        chancing = None;
                        if let Ok(own) = found.as_mut() {
                            own.chance = Some(chance);
                        }
                    }
                }
                let over = coarsely || chancing.is_none();
                self.room = Some(Looked::Found(found, chancing));
                return over;
            }
        };
        let found = loop {
            match looking.advance(1) {
                Progress::Done(found) => {
                    let chancing = Chancing::of(&self.plan, &found, looking.trial()).map(Box::new);
                    let over = chancing.is_none();
                    self.room = Some(Looked::Found(Box::new(Ok(found)), chancing));
                    self.tried = Some(looking.into_trial());
                    return over;
                }
                Progress::Working { .. } => {
                    if coarse.is_none() && looking.has_border() {
                        coarse = looking.so_far().map(|found| Box::new(Ok(found)));
                    }
                    if coarsely && coarse.is_some() {
                        break true;
                    }
                    if !time() {
                        break false;
                    }
                }
            }
        };
        self.room = Some(Looked::For(looking, coarse));
        found
    }
}
