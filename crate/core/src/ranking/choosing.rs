//! One place for each of several things, such that all go together: the least of their worths as large as it
//! can be. Knows no graft: whether a choice goes together is asked.

/// The search, a look at a time. Each thing's places come with the most worth first.
#[derive(Clone, Debug)]
pub struct Choosing {
    /// For each thing that is looked at, which of its places comes next.
    next: Vec<usize>,
    best: Option<(f64, Vec<usize>)>,
}

impl Default for Choosing {
    fn default() -> Self {
        Choosing { next: vec![0], best: None }
    }
}

impl Choosing {
    /// Asks once more whether a choice for the first few things goes together, leaving out what cannot be better
    /// than the best; says whether nothing is left to ask.
    pub fn go_on(&mut self, worths: &[Vec<f64>], together: impl FnOnce(&[usize]) -> bool) -> bool {
        while let Some((next, before)) = self.next.split_last_mut() {
            let known = self.best.as_ref().map_or(f64::NEG_INFINITY, |(known, _)| *known + 1e-9);
            let thing = before.len();
            let least = before.iter().zip(worths).map(|(after, own)| own[after - 1]).fold(f64::INFINITY, f64::min);
            let worth = worths.get(thing).and_then(|own| own.get(*next));
            // The places after it are worth no more.
            let Some(worth) = worth.map(|worth| worth.min(least)).filter(|worth| *worth > known) else {
                self.next.pop();
                continue;
            };
            *next += 1;
            let chosen: Vec<usize> = self.next.iter().map(|after| after - 1).collect();
            if together(&chosen) {
                if chosen.len() == worths.len() {
                    self.best = Some((worth, chosen));
                } else {
                    self.next.push(0);
                }
            }
            return false;
        }
        true
    }

    /// The best choice so far: which place each thing has.
    pub fn best(&self) -> Option<&[usize]> {
        self.best.as_ref().map(|(_, chosen)| &chosen[..])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The best by all choices there are.
    fn by_all(worths: &[Vec<f64>], together: impl Fn(&[usize]) -> bool) -> Option<f64> {
        let mut all: Vec<Vec<usize>> = vec![Vec::new()];
        for own in worths {
            all = all.iter().flat_map(|one| (0..own.len()).map(|k| [&one[..], &[k]].concat())).collect();
        }
        let whole = all.iter().filter(|one| (1..=one.len()).all(|many| together(&one[..many])));
        let least = |one: &Vec<usize>| one.iter().zip(worths).map(|(k, own)| own[*k]).fold(f64::INFINITY, f64::min);
        whole.map(least).reduce(f64::max)
    }

    #[test]
    fn the_best_of_all_choices_that_go_together() {
        let mut seed = 3_u64;
        let mut random = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) as usize
        };
        let mut none = 0;
        for _ in 0..300 {
            let mut worths: Vec<Vec<f64>> =
                (0..1 + random() % 3).map(|_| (0..random() % 6).map(|_| (random() % 100) as f64).collect()).collect();
            worths.iter_mut().for_each(|own| own.sort_by(|a, b| b.total_cmp(a)));
            let key = random();
            let together = |chosen: &[usize]| {
                let mixed = chosen.iter().fold(key, |mixed, k| mixed.wrapping_mul(31).wrapping_add(*k * 17 + 5));
                chosen.len() < 2 || (mixed >> 3) % 5 < 2
            };
            let mut choosing = Choosing::default();
            while !choosing.go_on(&worths, together) {}
            let found = choosing.best().map(|one| {
                assert!((1..=one.len()).all(|many| together(&one[..many])));
                one.iter().zip(&worths).map(|(k, own)| own[*k]).fold(f64::INFINITY, f64::min)
            });
            assert_eq!(found, by_all(&worths, together), "{worths:?}");
            none += usize::from(found.is_none());
        }
        assert!((20..280).contains(&none), "{none}");
    }
}
