//! The two axes of the wall map: where a station and a clock lie on the drawing, and back.
//!
//! The wall is seen from outside, flow to the right, 12:00 on the middle line, 3:00 (front-left)
//! below it and 9:00 (back-right) above. The page drags with these functions, so a point under the
//! pointer is the point of the wall. Knows no scene and draws nothing.

use super::Spot;
use super::clip;
use super::lettering::Extent;
use crate::units::Angle;
use std::f64::consts::PI;

/// Along which line the horizontal axis measures.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Along {
    /// Along the centreline: stations are evenly spaced.
    #[default]
    Centreline,
    /// Along the outer curve: lengths on the middle line of the map are true.
    OuterCurve,
}

/// What the vertical axis measures.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Around {
    /// Clock: every station is equally high.
    #[default]
    Clock,
    /// Wall length from 12:00, in the scale of the horizontal axis: every station is as high as its
    /// circumference (by the mean radius).
    WallLength,
}

/// A point of the wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WallSpot {
    /// Its station.
    pub station_mm: f64,
    /// Its clock in the stored convention; may run on past 6:00 within an outline.
    pub clock: Angle,
}

/// The aorta at one station, as far as the axes need it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AlongPoint {
    /// The station.
    pub station_mm: f64,
    /// Length along the outer curve from any fixed station, growing.
    pub outer_mm: f64,
    /// Mean radius of the lumen.
    pub radius_mm: f64,
}

/// The axes of one map.
#[derive(Clone, Debug, PartialEq)]
pub struct MapAxes {
    plot: Extent,
    stations: Vec<f64>,
    lengths: Vec<f64>,
    radii: Vec<f64>,
    around: Around,
    scale: f64,
}

impl MapAxes {
    /// Axes that fill a room of the drawing with the aorta given by points of growing station.
    ///
    /// With [`Around::WallLength`] both axes have one scale, and the map fills the room in the
    /// direction that binds. Points that do not grow are left out; without two, the axes run from
    /// 0 to 1 mm so that nothing divides by zero.
    pub fn new(points: &[AlongPoint], room: Extent, along: Along, around: Around) -> Self {
        let mut stations: Vec<f64> = Vec::with_capacity(points.len());
        let mut lengths: Vec<f64> = Vec::with_capacity(points.len());
        let mut radii: Vec<f64> = Vec::with_capacity(points.len());
        for point in points {
            let finite = (point.station_mm + point.outer_mm + point.radius_mm).is_finite();
            let step = stations.last().map_or(1.0, |last| point.station_mm - last);
            if !finite || step <= 0.0 {
                continue;
            }
            // Where the outer side itself folds, the outer curve does not grow: a hair keeps the
            // axis one-to-one.
            let length = match (along, lengths.last()) {
                (Along::Centreline, _) => point.station_mm,
                (Along::OuterCurve, None) => point.outer_mm,
                (Along::OuterCurve, Some(last)) => point.outer_mm.max(last + 1e-3 * step),
            };
            stations.push(point.station_mm);
            lengths.push(length);
            radii.push(point.radius_mm.max(0.1));
        }
        if stations.len() < 2 {
            (stations, lengths, radii) = (vec![0.0, 1.0], vec![0.0, 1.0], vec![1.0, 1.0]);
        }
        let long = lengths[lengths.len() - 1] - lengths[0];
        let widest = radii.iter().fold(0.1_f64, |widest, radius| widest.max(*radius));
        let (mut plot, mut scale) = (room, (room.right - room.left) / long);
        if around == Around::WallLength {
            scale = scale.min((room.bottom - room.top) / (2.0 * PI * widest));
            let middle = (room.top + room.bottom) / 2.0;
            plot.right = plot.left + scale * long;
            plot.top = middle - scale * PI * widest;
            plot.bottom = middle + scale * PI * widest;
        }
        MapAxes { plot, stations, lengths, radii, around, scale }
    }

    /// Where the map lies on the drawing, mm.
    pub fn plot(&self) -> Extent {
        self.plot
    }

    /// Millimetres of the drawing for a millimetre along the horizontal axis.
    pub fn scale(&self) -> f64 {
        self.scale
    }

    /// What the vertical axis measures.
    pub fn around(&self) -> Around {
        self.around
    }

    /// First and last station of the map.
    pub fn station_range(&self) -> [f64; 2] {
        [self.stations[0], self.stations[self.stations.len() - 1]]
    }

    /// Lengths along the drawn line at the two ends of the map.
    pub fn length_range(&self) -> [f64; 2] {
        [self.lengths[0], self.lengths[self.lengths.len() - 1]]
    }

    /// The stations the axes were built from.
    pub fn stations(&self) -> &[f64] {
        &self.stations
    }

    /// x of a station, mm of the drawing. Goes on straight beyond the data.
    pub fn station_to_x(&self, station_mm: f64) -> f64 {
        self.length_to_x(through(&self.stations, &self.lengths, station_mm))
    }

    /// The station at an x of the drawing: the inverse of [`Self::station_to_x`].
    pub fn x_to_station(&self, x_mm: f64) -> f64 {
        through(&self.lengths, &self.stations, self.lengths[0] + (x_mm - self.plot.left) / self.scale)
    }

    /// x of a length along the drawn line.
    pub fn length_to_x(&self, length_mm: f64) -> f64 {
        self.plot.left + (length_mm - self.lengths[0]) * self.scale
    }

    /// y of a clock position at a station, mm of the drawing. Positive clocks lie below the middle.
    pub fn clock_to_y(&self, clock: Angle, station_mm: f64) -> f64 {
        self.middle_y() + clock.to_rad() * self.mm_per_radian(station_mm)
    }

    /// The clock position at a y of the drawing: the inverse of [`Self::clock_to_y`]. Not wrapped.
    pub fn y_to_clock(&self, y_mm: f64, station_mm: f64) -> Angle {
        Angle::rad((y_mm - self.middle_y()) / self.mm_per_radian(station_mm))
    }

    /// y of 12:00.
    pub fn middle_y(&self) -> f64 {
        (self.plot.top + self.plot.bottom) / 2.0
    }

    fn mm_per_radian(&self, station_mm: f64) -> f64 {
        match self.around {
            Around::Clock => (self.plot.bottom - self.plot.top) / (2.0 * PI),
            Around::WallLength => {
                let [first, last] = self.station_range();
                self.scale * through(&self.stations, &self.radii, station_mm.clamp(first, last))
            }
        }
    }

    /// Where a point of the wall lies on the drawing.
    pub fn spot(&self, wall: WallSpot) -> Spot {
        [self.station_to_x(wall.station_mm), self.clock_to_y(wall.clock, wall.station_mm)]
    }

    /// The point of the wall at a spot of the drawing.
    pub fn wall(&self, spot: Spot) -> WallSpot {
        let station_mm = self.x_to_station(spot[0]);
        WallSpot { station_mm, clock: self.y_to_clock(spot[1], station_mm) }
    }

    /// The wall as a box of stations and clocks in radians: where outlines are cut.
    fn cuts(&self) -> Extent {
        let [left, right] = self.station_range();
        Extent { left, top: -PI, right, bottom: PI }
    }

    /// A line on the wall as drawn, cut at the map's edges; it may cross 6:00 any number of times.
    pub fn line(&self, points: &[WallSpot]) -> Vec<Vec<Spot>> {
        let unrolled = unrolled(points);
        turns(&unrolled)
            .flat_map(|turn| clip::line(&shifted(&unrolled, turn), &self.cuts()))
            .map(|part| self.drawn(&part))
            .collect()
    }

    /// A closed outline on the wall: the regions to fill and the lines to draw, cut at the edges.
    pub fn outline(&self, ring: &[WallSpot]) -> (Vec<Vec<Spot>>, Vec<Vec<Spot>>) {
        let unrolled = unrolled(ring);
        let mut closed = unrolled.clone();
        closed.extend(unrolled.first());
        let regions = turns(&unrolled)
            .map(|turn| self.drawn(&clip::ring(&shifted(&unrolled, turn), &self.cuts())))
            .filter(|region| !region.is_empty())
            .collect();
        let lines = turns(&unrolled)
            .flat_map(|turn| clip::line(&shifted(&closed, turn), &self.cuts()))
            .map(|part| self.drawn(&part))
            .collect();
        (regions, lines)
    }

    /// The band between two lines that go once round the wall, from −180° to 180°.
    pub fn band(&self, upstream: &[WallSpot], downstream: &[WallSpot]) -> Vec<Spot> {
        let pairs: Vec<Spot> =
            upstream.iter().chain(downstream.iter().rev()).map(|spot| [spot.station_mm, spot.clock.to_rad()]).collect();
        self.drawn(&clip::ring(&pairs, &self.cuts()))
    }

    /// A line at one station all round the wall, or at one clock along it, with enough points for
    /// axes that bend it.
    pub fn along_clock(&self, clock: Angle, from_mm: f64, to_mm: f64) -> Vec<Spot> {
        let [first, last] = self.station_range();
        let [from, to] = [from_mm.clamp(first, last), to_mm.clamp(first, last)];
        let mut stations = vec![from];
        if self.around == Around::WallLength {
            stations.extend(self.stations.iter().copied().filter(|station| *station > from && *station < to));
        }
        stations.push(to);
        stations.into_iter().map(|station_mm| self.spot(WallSpot { station_mm, clock })).collect()
    }

    fn drawn(&self, pairs: &[Spot]) -> Vec<Spot> {
        pairs.iter().map(|pair| self.spot(WallSpot { station_mm: pair[0], clock: Angle::rad(pair[1]) })).collect()
    }
}

/// Pairs of station and clock in radians, each clock the turn nearest to the one before it; the
/// first lies in (−180°, 180°].
fn unrolled(points: &[WallSpot]) -> Vec<Spot> {
    let mut clock = Angle::ZERO;
    points
        .iter()
        .map(|point| {
            clock = clock + (point.clock - clock).wrapped();
            [point.station_mm, clock.to_rad()]
        })
        .collect()
}

/// The whole turns by which an unrolled line must be moved so that every part of it lies once on
/// the map. Bounded, so that a spiral without end costs nothing.
fn turns(unrolled: &[Spot]) -> impl Iterator<Item = f64> + use<> {
    let (mut low, mut high) = (0.0_f64, 0.0_f64);
    for pair in unrolled.iter().filter(|pair| pair[1].is_finite()) {
        low = low.min(pair[1]);
        high = high.max(pair[1]);
    }
    let up = (((-low - PI) / (2.0 * PI)).ceil()).clamp(0.0, 8.0) as i32;
    let down = (((high - PI) / (2.0 * PI)).ceil()).clamp(0.0, 8.0) as i32;
    (-down..=up).map(|turn| f64::from(turn) * 2.0 * PI)
}

fn shifted(pairs: &[Spot], turn: f64) -> Vec<Spot> {
    pairs.iter().map(|pair| [pair[0], pair[1] + turn]).collect()
}

/// Linear through points of growing `xs`, straight on beyond the ends.
fn through(xs: &[f64], ys: &[f64], x: f64) -> f64 {
    let place = xs.partition_point(|own| *own <= x).clamp(1, xs.len() - 1);
    let share = (x - xs[place - 1]) / (xs[place] - xs[place - 1]);
    ys[place - 1] + share * (ys[place] - ys[place - 1])
}

#[cfg(test)]
mod tests {
    use super::*;

    const ROOM: Extent = Extent { left: 10.0, top: 5.0, right: 210.0, bottom: 95.0 };

    /// Straight to s 30, radius 40 through 180°, straight on; lumen radius 17 narrowing to 12.
    fn arch() -> Vec<AlongPoint> {
        (-60..=230)
            .map(|station| {
                let station_mm = f64::from(station);
                let bent = (station_mm - 30.0).clamp(0.0, 40.0 * PI);
                let radius_mm = 17.0 - 5.0 * ((station_mm + 60.0) / 290.0);
                AlongPoint { station_mm, outer_mm: station_mm + bent / 40.0 * 17.0, radius_mm }
            })
            .collect()
    }

    fn all() -> impl Iterator<Item = MapAxes> {
        [Along::Centreline, Along::OuterCurve].into_iter().flat_map(|along| {
            [Around::Clock, Around::WallLength].map(|around| MapAxes::new(&arch(), ROOM, along, around))
        })
    }

    #[test]
    fn wall_to_drawing_and_back() {
        for axes in all() {
            for station in -600..=2300 {
                let station_mm = f64::from(station) / 10.0;
                assert!((axes.x_to_station(axes.station_to_x(station_mm)) - station_mm).abs() < 1e-9);
                for clock in [-180.0, -91.0, -15.0, 0.0, 15.0, 133.0, 180.0].map(Angle::deg) {
                    let y = axes.clock_to_y(clock, station_mm);
                    assert!((axes.y_to_clock(y, station_mm) - clock).abs().to_deg() < 1e-9);
                    let back = axes.wall(axes.spot(WallSpot { station_mm, clock }));
                    assert!((back.station_mm - station_mm).abs() < 1e-9);
                    assert!((back.clock - clock).abs().to_deg() < 1e-9);
                }
            }
        }
    }

    #[test]
    fn drawing_to_wall_and_back_and_beyond_the_data() {
        for axes in all() {
            for x in -20..=260 {
                let x = f64::from(x);
                assert!((axes.station_to_x(axes.x_to_station(x)) - x).abs() < 1e-9);
                for y in 0..=100 {
                    let spot = [x, f64::from(y)];
                    let back = axes.spot(axes.wall(spot));
                    assert!((back[0] - x).abs() < 1e-9 && (back[1] - spot[1]).abs() < 1e-9);
                }
            }
        }
    }

    // The convention: flow to the right, 12:00 on the middle line, front-left (positive) below.
    #[test]
    fn the_wall_is_seen_from_outside() {
        for axes in all() {
            assert!(axes.station_to_x(100.0) > axes.station_to_x(50.0));
            let y = |deg: f64| axes.clock_to_y(Angle::deg(deg), 70.0);
            assert_eq!(y(0.0), 50.0);
            assert!(y(15.0) > y(0.0) && y(-15.0) < y(0.0));
        }
    }

    // At true size 10 mm of outer curve at a lumen radius of 17 mm and 30° of wall are 10.0 mm and
    // 8.9 mm on paper.
    #[test]
    fn wall_lengths_have_one_scale() {
        let axes = MapAxes::new(&arch(), ROOM, Along::OuterCurve, Around::WallLength);
        let radius = 17.0 - 5.0 * (90.0 / 290.0);
        let high = axes.clock_to_y(Angle::deg(30.0), 30.0) - axes.clock_to_y(Angle::ZERO, 30.0);
        assert!((high / axes.scale() - radius * PI / 6.0).abs() < 1e-9);
        // On the bend a millimetre of centreline is 1 + 17/40 of outer curve.
        let wide = axes.station_to_x(80.0) - axes.station_to_x(70.0);
        assert!((wide / axes.scale() - 14.25).abs() < 1e-9);
        assert!(axes.plot().inside(&ROOM));
    }

    #[test]
    fn an_outline_over_six_o_clock_is_cut_and_lies_on_both_sides() {
        let axes = MapAxes::new(&arch(), ROOM, Along::Centreline, Around::Clock);
        let ring: Vec<WallSpot> = (0..40)
            .map(|index| {
                let turn = f64::from(index) / 40.0 * 2.0 * PI;
                let clock = (Angle::deg(175.0) + Angle::deg(20.0 * turn.sin())).wrapped();
                WallSpot { station_mm: 50.0 + 6.0 * turn.cos(), clock }
            })
            .collect();
        let (regions, lines) = axes.outline(&ring);
        assert_eq!(regions.len(), 2);
        assert!(lines.len() >= 2);
        let plot = axes.plot().grown(1e-9);
        for spot in regions.iter().chain(&lines).flatten() {
            let dot = Extent { left: spot[0], right: spot[0], top: spot[1], bottom: spot[1] };
            assert!(dot.inside(&plot));
        }
        let lowest = regions.iter().flatten().map(|spot| spot[1]).fold(f64::MIN, f64::max);
        let highest = regions.iter().flatten().map(|spot| spot[1]).fold(f64::MAX, f64::min);
        assert!((lowest - 95.0).abs() < 1e-9 && (highest - 5.0).abs() < 1e-9);
    }

    #[test]
    fn no_data_is_no_panic() {
        let point = |station_mm: f64| AlongPoint { station_mm, outer_mm: f64::NAN, radius_mm: 1.0 };
        for points in [vec![], vec![point(1.0)], vec![point(1.0), point(1.0)]] {
            let axes = MapAxes::new(&points, ROOM, Along::OuterCurve, Around::WallLength);
            assert!(axes.station_to_x(0.5).is_finite());
        }
    }
}
