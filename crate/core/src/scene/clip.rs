//! Cutting lines and rings at a box.
//!
//! The map is cut open at 6:00 and ends with the data, so whatever runs over an edge is cut there.
//! Works on plain pairs of numbers and knows nothing of what they mean.

use super::Spot;
use super::lettering::Extent;

/// The parts of an open line that lie in a box, in order.
pub fn line(points: &[Spot], room: &Extent) -> Vec<Vec<Spot>> {
    let mut parts: Vec<Vec<Spot>> = Vec::new();
    for pair in points.windows(2) {
        let Some([from, to]) = segment(pair[0], pair[1], room) else { continue };
        match parts.last_mut() {
            Some(part) if part.last() == Some(&from) => part.push(to),
            _ => parts.push(vec![from, to]),
        }
    }
    parts
}

/// The part of a segment in a box (Liang and Barsky 1984).
fn segment(from: Spot, to: Spot, room: &Extent) -> Option<[Spot; 2]> {
    let step = [to[0] - from[0], to[1] - from[1]];
    if !(from[0] + from[1] + to[0] + to[1]).is_finite() {
        return None;
    }
    let mut enters: f64 = 0.0;
    let mut leaves: f64 = 1.0;
    let sides = [
        (-step[0], from[0] - room.left),
        (step[0], room.right - from[0]),
        (-step[1], from[1] - room.top),
        (step[1], room.bottom - from[1]),
    ];
    for (outwards, inside) in sides {
        if outwards == 0.0 {
            if inside < 0.0 {
                return None;
            }
        } else if outwards < 0.0 {
            enters = enters.max(inside / outwards);
        } else {
            leaves = leaves.min(inside / outwards);
        }
    }
    if enters > leaves {
        return None;
    }
    let at = |share: f64| {
        // The ends themselves are kept as they are, so that parts join on.
        if share <= 0.0 {
            from
        } else if share >= 1.0 {
            to
        } else {
            [from[0] + share * step[0], from[1] + share * step[1]]
        }
    };
    Some([at(enters), at(leaves)])
}

/// The part of a ring that lies in a box, as one ring (Sutherland and Hodgman 1974); empty where
/// nothing does. A ring that falls into pieces stays joined along the box's edge, which a fill does
/// not show; its outline is [`line`] of the closed ring.
pub fn ring(points: &[Spot], room: &Extent) -> Vec<Spot> {
    // Axis, bound, and whether the bound is the lower one.
    let sides = [(0, room.left, true), (0, room.right, false), (1, room.top, true), (1, room.bottom, false)];
    let mut kept: Vec<Spot> = points.iter().copied().filter(|spot| (spot[0] + spot[1]).is_finite()).collect();
    for (axis, bound, lower) in sides {
        let inside = |spot: &Spot| if lower { spot[axis] >= bound } else { spot[axis] <= bound };
        let given = std::mem::take(&mut kept);
        for (index, spot) in given.iter().enumerate() {
            let before = given[(index + given.len() - 1) % given.len()];
            if inside(spot) != inside(&before) {
                let share = (bound - before[axis]) / (spot[axis] - before[axis]);
                let mut cut = [before[0] + share * (spot[0] - before[0]), before[1] + share * (spot[1] - before[1])];
                cut[axis] = bound;
                kept.push(cut);
            }
            if inside(spot) {
                kept.push(*spot);
            }
        }
    }
    if kept.len() < 3 { Vec::new() } else { kept }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ROOM: Extent = Extent { left: 0.0, top: 0.0, right: 10.0, bottom: 10.0 };

    fn area(ring: &[Spot]) -> f64 {
        let twice: f64 = (0..ring.len())
            .map(|i| {
                let [a, b] = [ring[i], ring[(i + 1) % ring.len()]];
                a[0] * b[1] - a[1] * b[0]
            })
            .sum();
        (twice / 2.0).abs()
    }

    #[test]
    fn a_line_is_cut_where_it_leaves_and_comes_back() {
        let given = [[-5.0, 5.0], [5.0, 5.0], [5.0, 15.0], [8.0, 15.0], [8.0, 2.0]];
        let parts = line(&given, &ROOM);
        assert_eq!(parts, vec![vec![[0.0, 5.0], [5.0, 5.0], [5.0, 10.0]], vec![[8.0, 10.0], [8.0, 2.0]]]);
        assert!(line(&[[11.0, 0.0], [11.0, 9.0]], &ROOM).is_empty());
        assert!(line(&[[f64::NAN, 0.0], [1.0, 9.0]], &ROOM).is_empty());
    }

    #[test]
    fn a_ring_keeps_the_area_that_lies_inside() {
        let square = [[5.0, 5.0], [15.0, 5.0], [15.0, 15.0], [5.0, 15.0]];
        assert_eq!(area(&ring(&square, &ROOM)), 25.0);
        assert_eq!(ring(&square.map(|spot| [spot[0] + 20.0, spot[1]]), &ROOM), Vec::<Spot>::new());
        let inside = [[1.0, 1.0], [2.0, 1.0], [2.0, 2.0]];
        assert_eq!(ring(&inside, &ROOM), inside.to_vec());
    }
}
