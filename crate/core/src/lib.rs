//! Extrados: geometry of branched grafts in the aortic arch.
//!
//! The library holds every computation of the planner and knows nothing of browsers, files or
//! clocks. Data flows one way:
//!
//! case → anatomy → graft lie → clearances → verdicts → report and scene.
//!
//! Lengths are in millimetres and carry `_mm` in their names; angles are [`units::Angle`] inside
//! and degrees (`_deg`) in files. Patient axes are DICOM LPS: x to the patient's left, y to the
//! back, z to the head.
//!
//! This is a geometry aid and not a medical device: its numbers support a physician's decision and
//! replace neither the CT, nor a device's instructions for use, nor licensed judgement.

pub mod anatomy;
pub mod assumption;
pub mod bridging;
pub mod carm;
pub mod casefile;
pub mod curve;
pub mod dissection;
pub mod entry;
pub mod fault;
pub mod feed;
pub use extrados_curves::frame;
pub mod graft;
pub mod import;
pub mod message;
pub mod network;
pub mod numeric;
pub mod placement;
pub mod plan;
pub mod quantity;
pub mod ranking;
pub mod report;
pub use extrados_curves::rod;
pub mod room;
pub mod rules;
pub mod scene;
pub mod sheet;
pub mod spoken;
pub mod task;
pub mod units;

/// Version of the program, printed on every page and in every report.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");
