//! Facts that a reader of the map relies on, on a made-up arch.

use super::super::map_input::{Cover, MapAnatomy, Standing};
use super::super::sample::arch_p;
use super::super::{Anchor, Item, Shape, Sign, lettering, svg};
use super::*;
use crate::units::ThreeOClock;
use std::sync::Arc;

fn drawn(input: &MapInput) -> WallMap {
    wall_map(input, &Options::default())
}

fn with_anatomy(mut input: MapInput, change: impl FnOnce(&mut MapAnatomy)) -> MapInput {
    let mut anatomy = (*input.anatomy).clone();
    change(&mut anatomy);
    input.anatomy = Arc::new(anatomy);
    input
}

/// The hand is not answered: no clock of the anatomy is known, nor what needs one.
fn without_hand() -> MapInput {
    let mut input = with_anatomy(arch_p(0.0, 0.0), |anatomy| {
        anatomy.hand = None;
        for ostium in &mut anatomy.ostia {
            ostium.clock = None;
            ostium.outline.clear();
        }
        for point in &mut anatomy.keep_clear {
            point.clock = None;
            point.outline.clear();
        }
    });
    for tunnel in &mut input.grafts[0].tunnels {
        let clearance = &mut tunnel.clearance;
        clearance.to = None;
        clearance.value_mm = None;
        clearance.clock_error = None;
        clearance.standing = Standing::Unknown;
        clearance.clock_standing = Standing::Unknown;
        clearance.remark = "the hand of the clock is not answered".into();
    }
    input.kept_clear = vec![Standing::Unknown; 2];
    input
}

fn of<'a>(map: &'a WallMap, tie: &'a str) -> impl Iterator<Item = &'a Item> {
    map.scene.items.iter().filter(move |item| item.tie.as_deref() == Some(tie))
}

fn words(map: &WallMap) -> Vec<String> {
    map.scene
        .items
        .iter()
        .filter_map(|item| match &item.shape {
            Shape::Text { words, then, .. } => {
                let more = then.as_ref().map_or(String::new(), |(_, more)| more.replace('\u{a0}', " "));
                Some(format!("{words}{more}"))
            }
            _ => None,
        })
        .collect()
}

/// The box of an item: of words as wide as the widest usual font sets them.
fn extent(item: &Item, medium: Medium) -> Option<Extent> {
    let around = |spots: &[Spot]| Extent::around(spots);
    match &item.shape {
        Shape::Path(points) => around(points),
        Shape::Area(rings) => around(&rings.concat()),
        Shape::Circle { centre, radius_mm } => around(&[*centre]).map(|dot| dot.grown(*radius_mm)),
        Shape::Mark { at, size_mm, .. } => around(&[*at]).map(|dot| dot.grown(size_mm / 2.0)),
        Shape::Dimension { from, to } => around(&[*from, *to]),
        Shape::Field { from, to, .. } => around(&[*from, *to]),
        Shape::Text { at, words, then, anchor, .. } => {
            let mut own = lettering::word_extent(words, *at, *anchor, &item.token.look(), medium);
            if let Some((token, more)) = then {
                assert_eq!(*anchor, Anchor::Start);
                own.right += lettering::width_mm(more, &token.look(), medium);
            }
            Some(own)
        }
    }
}

fn centre_y(map: &WallMap, tie: &str) -> f64 {
    of(map, tie)
        .find_map(|item| match item.shape {
            Shape::Mark { at, sign: Sign::Cross, .. } => Some(at[1]),
            _ => None,
        })
        .unwrap()
}

// The convention: 12:00 on the middle line, 3:00 (front-left, positive) below, 9:00 above. Check P3
// of the worked arch: the stored −15° stands above the middle line, +15° below.
#[test]
fn front_left_lies_below_the_outer_curve() {
    let turned = |deg: f64| with_anatomy(arch_p(0.0, 0.0), |anatomy| anatomy.ostia[0].clock = Some(Angle::deg(deg)));
    for (deg, below) in [(15.0, true), (-15.0, false)] {
        let map = drawn(&turned(deg));
        assert_eq!(centre_y(&map, "o1") > map.axes.middle_y(), below, "{deg}");
    }
    let said = words(&drawn(&turned(15.0)));
    assert!(said.contains(&"12:30 front-left".into()), "{said:?}");
    assert!(said.iter().any(|words| words.contains("Front-left below, back-right above.")));
    assert!(said.iter().any(|words| words.contains("seen from outside, flow to the right")));
}

/// Hours and side written beside the frame at a clock line.
fn beside(map: &WallMap, deg: f64) -> [String; 2] {
    let [_, last] = map.axes.station_range();
    let y = map.axes.clock_to_y(Angle::deg(deg), last);
    let near = |item: &&Item| match &item.shape {
        Shape::Text { at, .. } => at[0] > map.axes.plot().right && at[1] > y - 1.0 && at[1] < y + 6.0,
        _ => false,
    };
    let found: Vec<String> = map
        .scene
        .items
        .iter()
        .filter(near)
        .filter_map(|item| match &item.shape {
            Shape::Text { words, .. } => Some(words.clone()),
            _ => None,
        })
        .collect();
    [found[0].clone(), found[1].clone()]
}

// The wall is drawn the same in both hands; only the hours change, and the side stays with them.
#[test]
fn a_mirrored_hand_is_shown_with_its_sides() {
    let right = drawn(&arch_p(0.0, 0.0));
    assert_eq!(beside(&right, 90.0), ["3:00", "front-left"]);
    assert_eq!(beside(&right, -90.0), ["9:00", "back-right"]);
    let mirrored = drawn(&with_anatomy(arch_p(0.0, 0.0), |anatomy| anatomy.hand = Some(ThreeOClock::BackRight)));
    assert_eq!(beside(&mirrored, 90.0), ["9:00", "front-left"]);
    assert_eq!(beside(&mirrored, -90.0), ["3:00", "back-right"]);
    assert_eq!(beside(&mirrored, 0.0), ["12:00", "outer curve"]);
    assert_eq!(centre_y(&right, "o1"), centre_y(&mirrored, "o1"));
    assert!(words(&mirrored).contains(&"11:30 front-left".into()));
}

#[test]
fn an_unanswered_hand_draws_ostia_dotted_over_the_full_clock() {
    let map = drawn(&without_hand());
    let plot = map.axes.plot();
    for (tie, edges) in [("o1", [63.0, 77.0]), ("o2", [81.0, 89.0]), ("o3", [98.0, 108.0])] {
        let lines: Vec<&Vec<Spot>> = of(&map, tie)
            .filter(|item| item.token == Token::OstiumUnknown)
            .filter_map(|item| match &item.shape {
                Shape::Path(points) => Some(points),
                _ => None,
            })
            .collect();
        for (line, edge) in lines.iter().zip(edges) {
            assert!((line[0][0] - map.axes.station_to_x(edge)).abs() < 1e-9);
            let ends = [line[0][1] - plot.top, line[1][1] - plot.bottom];
            assert!(ends.iter().all(|miss| miss.abs() < 1e-9), "{ends:?}");
        }
        assert!(of(&map, tie).any(|item| matches!(item.shape, Shape::Mark { sign: Sign::Question, .. })));
        assert!(!of(&map, tie).any(|item| item.token == Token::Ostium));
    }
    let said = words(&map);
    for clearance in ["IA ? mm", "LCCA ? mm", "LSA ? mm"] {
        assert!(said.iter().any(|words| words.starts_with(clearance)), "{clearance} {said:?}");
    }
    assert!(!map.scene.items.iter().any(|item| item.token == Token::DimensionMet));
    assert_eq!(beside(&map, 90.0), ["3 or 9:00", "front-left"]);
    // What all three share is said once.
    assert_eq!(said.iter().filter(|words| words.contains("the hand of the clock is not answered")).count(), 1);
}

/// Arch P with every verdict, moved and turned all round.
fn many() -> Vec<MapInput> {
    let mut inputs = vec![without_hand(), MapInput::default()];
    for shift in [-60.0, -20.0, 0.0, 12.0, 40.0, 90.0] {
        for turn in [-180.0, -150.0, -90.0, -40.0, 0.0, 40.0, 90.0, 150.0, 180.0] {
            inputs.push(arch_p(shift, turn));
        }
    }
    let mut second = arch_p(0.0, 5.0);
    second.grafts.extend(arch_p(100.0, 0.0).grafts);
    second.grafts[1].tunnels.clear();
    second.possibility = "the axis keeps its length".into();
    inputs.push(second);
    inputs
}

fn sizes() -> Vec<Options> {
    let plain = Options::default();
    let fit = |width_mm: f64, height_mm: f64| Options { size: Size::Fit { width_mm, height_mm }, ..Options::default() };
    vec![
        fit(185.0, 95.0),
        Options { medium: Medium::Paper, ..fit(277.0, 105.0) },
        Options { along: Along::OuterCurve, around: Around::WallLength, ..fit(300.0, 130.0) },
        Options { size: Size::TrueSize, along: Along::OuterCurve, ..plain.clone() },
        plain,
    ]
}

#[test]
fn every_item_lies_inside_the_drawing() {
    for input in many() {
        for options in sizes() {
            let map = wall_map(&input, &options);
            let paper = Extent { left: 0.0, top: 0.0, right: map.scene.width_mm, bottom: map.scene.height_mm };
            for item in &map.scene.items {
                let own = extent(item, options.medium).unwrap();
                assert!(
                    own.inside(&paper),
                    "{item:?} leaves {paper:?} in {:?}",
                    input.grafts.first().map(|g| g.edge_mm)
                );
            }
        }
    }
}

#[test]
fn no_words_lie_on_others() {
    for input in many() {
        for options in sizes() {
            let map = wall_map(&input, &options);
            let texts: Vec<(&Item, Extent)> = map
                .scene
                .items
                .iter()
                .filter(|item| matches!(item.shape, Shape::Text { .. }))
                .filter_map(|item| Some((item, extent(item, options.medium)?)))
                .collect();
            for (index, (one, a)) in texts.iter().enumerate() {
                for (other, b) in &texts[index + 1..] {
                    // Lines of one block stand closer than their boxes, which hold capitals and tails.
                    let a = Extent { top: a.top + 0.6, bottom: a.bottom - 0.6, ..*a };
                    assert!(
                        !a.meets(b),
                        "{:?}\n{:?}\n{:?} {:?}",
                        one.shape,
                        other.shape,
                        options.size,
                        input.grafts.first().map(|graft| (graft.edge_mm, graft.turned.to_deg()))
                    );
                }
            }
        }
    }
}

#[test]
fn a_tunnel_s_body_lies_on_the_side_its_blood_comes_from() {
    let map = drawn(&arch_p(0.0, 0.0));
    for (tie, sign, upstream) in [("t1", Sign::ArrowRight, true), ("t3", Sign::ArrowLeft, false)] {
        let at = |item: &Item| match item.shape {
            Shape::Mark { at, sign: own, .. } if own == sign => Some(at),
            _ => None,
        };
        let mouth = of(&map, tie).find_map(at).unwrap();
        let body = of(&map, tie).find(|item| item.token == Token::TunnelBody).unwrap();
        let own = extent(body, Medium::Screen).unwrap();
        let middle = (own.left + own.right) / 2.0;
        assert_eq!(middle < mouth[0], upstream, "{tie}");
        assert_eq!(body.token.look().dash_mm.len(), 2, "hidden lines are dashed");
    }
}

#[test]
fn a_clearance_stands_between_its_edges_with_number_sign_and_word() {
    let mut input = arch_p(0.0, 0.0);
    input.grafts[0].tunnels[0].clearance.standing = Standing::Unmet;
    input.grafts[0].tunnels[1].clearance.standing = Standing::Borderline;
    let map = drawn(&input);
    let cases = [
        ("t1", [45.5, 63.0], "IA 17.5 mm  unmet", Token::DimensionUnmet, Sign::Saltire),
        ("t2", [62.5, 81.0], "LCCA 18.5 mm  borderline", Token::DimensionBorderline, Sign::Wave),
        ("t3", [120.5, 108.0], "LSA 12.5 mm  met", Token::DimensionMet, Sign::Tick),
    ];
    for (tie, stations, said, token, sign) in cases {
        let ends = of(&map, tie)
            .find_map(|item| match item.shape {
                Shape::Dimension { from, to } if item.token == token => Some([from, to]),
                _ => None,
            })
            .unwrap();
        for (end, station) in ends.iter().zip(stations) {
            assert!((end[0] - map.axes.station_to_x(station)).abs() < 1e-9, "{tie}");
        }
        assert!(words(&map).contains(&said.to_owned()), "{said} {:?}", words(&map));
        assert!(of(&map, tie).any(|item| matches!(item.shape, Shape::Mark { sign: own, .. } if own == sign)));
    }
}

#[test]
fn a_large_clock_error_is_named_with_its_side() {
    // Mouth at 33°, ostium at 15°: a row of its own, with its own sign.
    let map = drawn(&arch_p(0.0, 25.0));
    assert!(words(&map).contains(&"mouth 18° to the front-left, met".into()), "{:?}", words(&map));
    // Where such rows would push the lanes into the mouths, it goes on in the clearance's row.
    let low = drawn(&arch_p(0.0, 40.0));
    let row = "IA 17.5 mm  met · mouth 33° to the front-left, met".to_owned();
    assert!(words(&low).contains(&row), "{:?}", words(&low));
    assert!(!words(&drawn(&arch_p(0.0, 0.0))).iter().any(|words| words.starts_with("mouth")));
}

#[test]
fn fabric_off_the_wall_is_hatched_wider_and_seals_across() {
    let map = drawn(&arch_p(0.0, 0.0));
    let hatch = |token: Token| {
        assert!(of(&map, "arch").any(|item| item.token == token), "{}", token.name());
        token.look().hatch.unwrap()
    };
    let [seal, touching, free] = [Token::Seal, Token::Fabric, Token::FabricFree].map(hatch);
    assert!(free.step_mm > 1.5 * touching.step_mm && touching.step_mm > seal.step_mm);
    assert!((seal.angle - touching.angle).abs().to_deg() == 90.0);
    let free = of(&map, "arch").find(|item| item.token == Token::FabricFree).unwrap();
    let own = extent(free, Medium::Screen).unwrap();
    let edges = [own.left, own.right].map(|x| map.axes.x_to_station(x));
    assert!((edges[0] - 42.0).abs() < 1e-9 && (edges[1] - 126.0).abs() < 1e-9);
    let mut bare = arch_p(0.0, 0.0);
    bare.grafts[0].stretches[2].cover = Cover::Bare;
    assert!(!drawn(&bare).scene.items.iter().any(|item| item.token == Token::FabricFree));
}

#[test]
fn covered_points_have_a_second_ring_and_a_word() {
    let mut input = arch_p(0.0, 0.0);
    let rings = |map: &WallMap| of(map, "rca").filter(|item| matches!(item.shape, Shape::Circle { .. })).count();
    assert_eq!(rings(&drawn(&input)), 0);
    input.kept_clear[0] = Standing::Unmet;
    assert_eq!(rings(&drawn(&input)), 1);
    assert!(words(&drawn(&input)).contains(&"right coronary, covered".into()));
}

#[test]
fn only_the_row_pointed_at_stands_out() {
    let options = Options { lit: Some("t2".into()), ..Options::default() };
    let map = wall_map(&arch_p(0.0, 0.0), &options);
    assert!(map.scene.items.iter().any(|item| item.lit));
    assert!(map.scene.items.iter().all(|item| item.lit == (item.tie.as_deref() == Some("t2"))));
}

// At true size 10 mm of outer curve are 10 mm of paper, and the map is as high as the wall goes
// round: 2π · 17 = 106.8 mm.
#[test]
fn true_size_is_true() {
    let options = Options { size: Size::TrueSize, along: Along::OuterCurve, ..Options::default() };
    let map = wall_map(&arch_p(0.0, 0.0), &options);
    assert!((map.axes.scale() - 1.0).abs() < 1e-9);
    let wide = map.axes.station_to_x(100.0) - map.axes.station_to_x(60.0);
    assert!((wide - 40.0 * (1.0 + 17.0 / 40.0)).abs() < 1e-9);
    let plot = map.axes.plot();
    assert!((plot.bottom - plot.top - 106.814).abs() < 1e-3);
    assert!(svg::text(&map.scene).contains(&format!("width=\"{}mm\"", (map.scene.width_mm * 100.0).round() / 100.0)));
}

#[test]
fn the_picture_is_well_formed_plain_and_the_same_each_time() {
    for input in many().into_iter().take(6) {
        let text = svg::text(&drawn(&input).scene);
        assert_eq!(text, svg::text(&drawn(&input).scene));
        let document = roxmltree::Document::parse(&text).unwrap();
        for node in document.descendants() {
            assert!(node.attributes().all(|attribute| attribute.name() != "style"));
        }
        let title = document.descendants().find(|node| node.has_tag_name((svg::NAMESPACE, "title"))).unwrap();
        assert!(title.text().unwrap().contains("seen from outside"));
    }
    let described = drawn(&arch_p(0.0, 0.0)).scene.description;
    assert!(described.contains("Clearance for the IA: 17.5 mm, met."), "{described}");
    assert!(described.contains("3:00 front-left lies below it, 9:00 back-right above"), "{described}");
}

#[test]
fn nothing_to_draw_says_why() {
    let input = with_anatomy(MapInput::default(), |anatomy| {
        anatomy.missing = Some("There is no centreline.".into());
    });
    assert!(words(&drawn(&input)).contains(&"There is no centreline.".into()));
}

#[test]
fn numbers_that_are_none_draw_nothing_and_do_no_harm() {
    let mut input = with_anatomy(arch_p(0.0, 0.0), |anatomy| {
        anatomy.ostia[0].station_mm = f64::NAN;
        anatomy.ostia[1].outline[3].station_mm = f64::INFINITY;
        anatomy.zones[0].to_mm = f64::NAN;
        anatomy.lesion = Some([f64::NAN, 1e300]);
        anatomy.aorta[40].outer_mm = f64::NAN;
        anatomy.uncertain = vec![[1e300, -1e300]];
    });
    input.grafts[0].handle = Some(super::super::sample::at(f64::NAN, f64::INFINITY));
    input.grafts[0].tunnels[0].clearance.value_mm = Some(f64::NAN);
    for options in sizes() {
        let text = svg::text(&wall_map(&input, &options).scene);
        assert!(roxmltree::Document::parse(&text).is_ok());
    }
    for size in [f64::NAN, -1.0, 0.0, 1e300] {
        let options = Options { size: Size::Fit { width_mm: size, height_mm: size }, ..Options::default() };
        let map = wall_map(&input, &options);
        assert!(map.scene.width_mm.is_finite() && map.scene.height_mm > 0.0);
    }
}
