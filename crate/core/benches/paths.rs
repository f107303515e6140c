//! How long bridging paths take: three tunnels over two and over six ways of lying, the six made by
//! shifting and turning the graft. Prints medians; judges nothing.
#![allow(clippy::unwrap_used, clippy::print_stdout, missing_docs)]

mod times;

use extrados::bridging::path::{TunnelPath, mouth};
use extrados::casefile::Document;
use extrados::plan::Plan;
use extrados::units::Pose;
use std::hint::black_box;
use std::sync::Arc;
use times::{median_ms, note};

fn main() {
    let file = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo-data/plain-arch.json");
    let document = Document::read(&std::fs::read(file).unwrap()).unwrap();
    let poses: Vec<_> = (0..9).flat_map(|k| poses(&document, f64::from(k) - 4.0)).collect();
    println!("{:>6} {:>12} {:>16} {:>10}", "paths", "all, ms", "one of them, µs", "in order");
    for count in [6, 18] {
        let chosen: Vec<_> = poses.iter().cycle().take(count).collect();
        let median = median_ms(400, |_| {
            for (mouth, entry) in &chosen {
                black_box(TunnelPath::new(black_box(mouth), entry));
            }
        });
        note("bridging paths", &format!("{count} paths"), median);
        let sound = chosen.iter().filter(|(mouth, entry)| TunnelPath::new(mouth, entry).none.is_none()).count();
        println!("{count:6} {median:12.3} {:16.1} {sound:10}", median * 1e3 / count as f64);
    }
}

/// Mouths and entries of a demo's tunnels with the graft moved by some millimetres and as many degrees.
fn poses(document: &Document, by: f64) -> Vec<(Pose, extrados::anatomy::entry::Entry)> {
    let mut case = (*document.case).clone();
    for component in &mut case.components {
        if let Some(placement) = &mut component.placement {
            placement.station_mm += by;
            placement.clock_deg += by;
        }
    }
    let plan = Plan::new(Arc::new(case));
    let anatomy = plan.anatomy.as_ref().unwrap();
    let mut poses = Vec::new();
    for graft in &plan.grafts {
        for lie in &graft.lies {
            for tunnel in &graft.graft.tunnels {
                let result = plan.tunnels.iter().find(|t| t.id == tunnel.id && t.possibility == lie.possibility);
                let point = result.unwrap().mouth.value().unwrap().point;
                let vessel = anatomy.vessels.iter().find(|v| v.id == tunnel.serves).unwrap();
                poses.push((mouth(tunnel, lie, point).unwrap(), vessel.entry.clone().unwrap()));
            }
        }
    }
    poses
}
