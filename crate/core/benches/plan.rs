//! How long a plan takes: from the case, and for one step of a drag. Prints medians; judges nothing.
#![allow(clippy::unwrap_used, clippy::print_stdout, missing_docs)]

mod times;

use extrados::casefile::Document;
use extrados::graft::lie::PlacedGraft;
use extrados::plan::Plan;
use extrados::room::trial::moved;
use std::sync::Arc;
use times::{median_ms, note};

fn main() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo-data");
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "json"))
        .collect();
    files.extend(std::env::args().skip(1).filter(|a| a.ends_with(".json")).map(Into::into));
    files.sort();
    println!("{:32} {:>6} {:>12} {:>14} {:>12}", "case", "ways", "anew, ms", "drag step, ms", "lies, ms");
    for file in files {
        let Ok(document) = Document::read(&std::fs::read(&file).unwrap()) else { continue };
        let plan = Plan::new(document.case.clone());
        let anew = median_ms(20, |_| drop(Plan::new(document.case.clone())));
        // The graft that carries tunnels is dragged, as in the page; the others stay.
        let dragged = moved(&document.case).map(|component| component.id.clone());
        let step = median_ms(200, |k| {
            let mut case = (*document.case).clone();
            for component in case.components.iter_mut().filter(|own| Some(&own.id) == dragged.as_ref()) {
                if let Some(placement) = &mut component.placement {
                    placement.station_mm += 0.05 * k as f64;
                }
            }
            drop(plan.follow(Arc::new(case)));
        });
        // What of that is where the graft comes to rest.
        let lies = median_ms(100, |k| {
            let Ok(anatomy) = &plan.anatomy else { return };
            for component in document.case.components.iter().filter(|own| Some(&own.id) == dragged.as_ref()) {
                let mut component = component.clone();
                if let Some(placement) = &mut component.placement {
                    placement.station_mm += 0.05 * k as f64;
                }
                drop(PlacedGraft::new(&component, &document.case, anatomy, None));
            }
        });
        let name = file.file_name().unwrap().to_string_lossy().into_owned();
        note("anew", &name, anew);
        note("a step of a drag", &name, step);
        println!("{name:32} {:6} {anew:12.2} {step:14.3} {lies:12.3}", plan.possibilities().len());
    }
}
