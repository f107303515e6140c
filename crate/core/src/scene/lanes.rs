//! Where labels and dimension lines go so that they do not lie on each other.
//!
//! Three plain, deterministic ways: [`stack`] puts intervals into as few lanes as first fit gives,
//! [`spread`] moves labels of one row apart by as little as possible and keeps their order, and
//! [`Places`] tries one candidate box after the other. Knows boxes only, neither words nor wall.

use super::lettering::Extent;

/// The lane of each interval, counted from 0: in the order given, each takes the first lane in
/// which it keeps `gap` to all that are there.
pub fn stack(intervals: &[[f64; 2]], gap: f64) -> Vec<usize> {
    let mut lanes: Vec<Vec<[f64; 2]>> = Vec::new();
    intervals
        .iter()
        .map(|&[one, other]| {
            let own = [one.min(other), one.max(other)];
            let free =
                |lane: &Vec<[f64; 2]>| lane.iter().all(|taken| own[0] >= taken[1] + gap || own[1] + gap <= taken[0]);
            let lane = lanes.iter().position(free).unwrap_or(lanes.len());
            if lane == lanes.len() {
                lanes.push(Vec::new());
            }
            lanes[lane].push(own);
            lane
        })
        .collect()
}

/// Centres for labels of one row, as near as possible (least squares) to the centres wished for,
/// at least `gap` apart, in the order of the wishes and between `from` and `to`.
///
/// Labels wider than the room altogether start at `from` and overrun `to`; [`fits`] tells.
pub fn spread(wishes: &[f64], widths: &[f64], gap: f64, from: f64, to: f64) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wishes.len().min(widths.len())).collect();
    order.sort_by(|&a, &b| wishes[a].total_cmp(&wishes[b]).then(a.cmp(&b)));

    // With the widths to its left taken off, each centre only has to be no smaller than the one
    // before: isotonic regression, by pooling neighbours that are out of order.
    let mut offsets = Vec::with_capacity(order.len());
    let mut run = 0.0;
    for &index in &order {
        offsets.push(run + widths[index] / 2.0);
        run += widths[index] + gap;
    }
    let mut pools: Vec<(f64, usize)> = Vec::new();
    for (place, &index) in order.iter().enumerate() {
        let mut pool = (wishes[index] - offsets[place], 1usize);
        while let Some(&(mean, count)) = pools.last().filter(|(mean, _)| *mean > pool.0) {
            pool = ((mean * count as f64 + pool.0 * pool.1 as f64) / (count + pool.1) as f64, count + pool.1);
            pools.pop();
        }
        pools.push(pool);
    }

    // The ends of the row are the same for all once the widths are off.
    let highest = (to - (run - gap)).max(from);
    let mut centres = vec![0.0; wishes.len()];
    let mut place = 0;
    for (mean, count) in pools {
        let start = mean.clamp(from, highest);
        for _ in 0..count {
            centres[order[place]] = start + offsets[place];
            place += 1;
        }
    }
    centres
}

/// Whether labels of these widths have room in one row.
pub fn fits(widths: &[f64], gap: f64, from: f64, to: f64) -> bool {
    widths.iter().sum::<f64>() + gap * widths.len().saturating_sub(1) as f64 <= to - from + 1e-9
}

/// Boxes that are taken, inside a room.
#[derive(Clone, Debug)]
pub struct Places {
    room: Extent,
    taken: Vec<Extent>,
}

impl Places {
    /// An empty room.
    pub fn new(room: Extent) -> Self {
        Places { room, taken: Vec::new() }
    }

    /// Marks a box as taken.
    pub fn take(&mut self, frame: Extent) {
        self.taken.push(frame);
    }

    /// Whether a box lies in the room and meets nothing.
    pub fn is_free(&self, frame: &Extent) -> bool {
        frame.inside(&self.room) && self.taken.iter().all(|taken| !taken.meets(frame))
    }

    /// Takes the first free candidate; `None`, and nothing taken, where there is none.
    pub fn first_free(&mut self, candidates: impl IntoIterator<Item = Extent>) -> Option<Extent> {
        let found = candidates.into_iter().find(|frame| self.is_free(frame))?;
        self.take(found);
        Some(found)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A small generator of even numbers in [0, 1): the sequence of Park and Miller (1988).
    struct Even(u64);
    impl Even {
        fn next(&mut self) -> f64 {
            self.0 = self.0 * 16_807 % 2_147_483_647;
            self.0 as f64 / 2_147_483_647.0
        }
    }

    #[test]
    fn lanes_never_overlap() {
        let mut even = Even(7);
        for _ in 0..500 {
            let count = 1 + (even.next() * 12.0) as usize;
            let intervals: Vec<[f64; 2]> = (0..count)
                .map(|_| {
                    let start = even.next() * 200.0;
                    [start, start + (even.next() - 0.3) * 60.0]
                })
                .collect();
            let lanes = stack(&intervals, 1.5);
            for a in 0..count {
                for b in a + 1..count {
                    if lanes[a] == lanes[b] {
                        let [a0, a1] = [intervals[a][0].min(intervals[a][1]), intervals[a][0].max(intervals[a][1])];
                        let [b0, b1] = [intervals[b][0].min(intervals[b][1]), intervals[b][0].max(intervals[b][1])];
                        assert!(a1 + 1.5 <= b0 + 1e-9 || b1 + 1.5 <= a0 + 1e-9);
                    }
                }
                // First fit: whoever stands in a lane found every lane before it taken.
                assert!(lanes[a] == 0 || lanes[..a].contains(&(lanes[a] - 1)));
            }
        }
    }

    #[test]
    fn rows_never_overlap_and_keep_their_order() {
        let mut even = Even(11);
        for _ in 0..500 {
            let count = 1 + (even.next() * 8.0) as usize;
            let wishes: Vec<f64> = (0..count).map(|_| even.next() * 260.0 - 30.0).collect();
            let widths: Vec<f64> = (0..count).map(|_| 5.0 + even.next() * 18.0).collect();
            let centres = spread(&wishes, &widths, 2.0, 0.0, 200.0);
            assert!(fits(&widths, 2.0, 0.0, 200.0));
            for a in 0..count {
                assert!(centres[a] - widths[a] / 2.0 >= -1e-9 && centres[a] + widths[a] / 2.0 <= 200.0 + 1e-9);
                for b in 0..count {
                    if wishes[a] < wishes[b] {
                        assert!(centres[a] + widths[a] / 2.0 + 2.0 <= centres[b] - widths[b] / 2.0 + 1e-9);
                    }
                }
            }
        }
    }

    // By hand: wishes 10 and 12, both 6 wide, gap 2 need 8 between centres: 2 and 6 more to share.
    #[test]
    fn neighbours_share_what_they_must_move() {
        let centres = spread(&[10.0, 12.0, 50.0], &[6.0, 6.0, 6.0], 2.0, 0.0, 100.0);
        assert!((centres[0] - 7.0).abs() < 1e-12 && (centres[1] - 15.0).abs() < 1e-12);
        assert_eq!(centres[2], 50.0);
    }

    #[test]
    fn too_much_for_a_row_starts_at_its_left() {
        assert!(!fits(&[60.0, 60.0], 2.0, 0.0, 100.0));
        let centres = spread(&[50.0, 50.0], &[60.0, 60.0], 2.0, 0.0, 100.0);
        assert_eq!(centres, vec![30.0, 92.0]);
    }

    #[test]
    fn the_first_free_place_is_taken_once() {
        let room = Extent { left: 0.0, top: 0.0, right: 10.0, bottom: 10.0 };
        let mut places = Places::new(room);
        let at = |left: f64| Extent { left, top: 1.0, right: left + 4.0, bottom: 3.0 };
        assert_eq!(places.first_free([at(-1.0), at(1.0), at(5.0)]), Some(at(1.0)));
        assert_eq!(places.first_free([at(1.0), at(5.0)]), Some(at(5.0)));
        assert_eq!(places.first_free([at(0.0), at(3.0)]), None);
    }
}
