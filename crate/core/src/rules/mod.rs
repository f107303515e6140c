//! Rules: limits on measures, with their sources, and the verdicts they give.
//!
//! [`measure`] is the one table of what can be measured; [`verdict`] judges a rule by it;
//! [`defaults`] is the set a plan starts with, [`editing`] adds and takes single rules. A new rule on an existing measure is data and needs no
//! code.

pub mod defaults;
pub mod editing;
pub mod measure;
pub mod seals;
pub mod sets;
pub mod verdict;
